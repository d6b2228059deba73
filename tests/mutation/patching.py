"""A mutant put into functions that are already imported, by exchanging their code."""

import functools
import gc
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FunctionType

from .mutants import Mutant


def patch(mutant: Mutant) -> bool:
    """Let every function of the file run the mutant's code; for a forked process.

    False, with nothing done: what the mutant changes was executed when the file was imported.
    """
    file = str(Path(mutant.file).resolve())
    before = list(_codes(compile(Path(file).read_text(), file, "exec")))
    after = list(_codes(compile(mutant.source, file, "exec")))
    if len(before) != len(after):
        return False
    changed = {
        (old.co_qualname, old.co_firstlineno): new
        for old, new in zip(before, after, strict=True)
        if _own(old) != _own(new)
    }
    functions = [  # by its very type: to be asked its class would wake a lazy object
        function
        for function in gc.get_objects()
        if type(function) is FunctionType
        and function.__code__.co_filename == file
        and _place(function) in changed
    ]
    if not changed or {_place(function) for function in functions} != set(changed):
        return False
    for function in functions:
        function.__code__ = changed[_place(function)]
    _forget_cached_results()
    return True


def _codes(code: CodeType) -> Iterator[CodeType]:
    yield code
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _codes(constant)


def _own(code: CodeType) -> tuple[object, ...]:
    """What it does itself, apart from the functions inside it."""
    constants = [repr(one) for one in code.co_consts if not isinstance(one, CodeType)]
    return code.co_code, constants, code.co_names, code.co_varnames, code.co_freevars


def _place(function: FunctionType) -> tuple[str, int]:
    return function.__code__.co_qualname, function.__code__.co_firstlineno


def _forget_cached_results() -> None:
    for one in gc.get_objects():
        if type(one) is functools._lru_cache_wrapper:
            one.cache_clear()
