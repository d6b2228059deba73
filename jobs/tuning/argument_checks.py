"""Refuse NaN, infinity, None and text where a number belongs, before a formula sees them.

``@checked`` stands on every public function and dataclass of the arithmetic. What an argument
may be is read once, from its annotation, when the module is loaded: ``float`` and ``int`` are
finite numbers, also inside a sequence; ``None`` is accepted only where the annotation says so.
A formula that leaves the range of numbers (an overflow, a division by zero) is refused too, and
so is a result that is not finite.
"""

import inspect
import math
import re
from collections.abc import Callable, Mapping, Sequence
from functools import wraps
from types import FunctionType, NoneType, UnionType
from typing import Any, TypeVar, Union, get_args, get_origin

from .refusal import Refused, number
from .words import _

Checked = TypeVar("Checked", bound=Callable[..., Any])
ArgumentCheck = Callable[[Any, str], object]

# How the units at the end of an argument's name are written; they are no part of its name.
_UNITS = re.compile(
    r"_(n_s_per_m|n_per_mm|n_per_m|kpa_gauge|rad_s|m_s2|kg_m3|per_mm|mm2|cm3|kpa|gpa|cst|deg|mm|hz"
    r"|kg|minor|n|s|c|m)$"
)


def checked(thing: Checked) -> Checked:
    """A function, or a class with its ``__init__`` and public methods, that checks its arguments.

    >>> @checked
    ... def half(*, length_mm: float) -> float:
    ...     return length_mm / 2
    >>> half(length_mm=3)
    1.5
    >>> half(length_mm=float("nan"))
    Traceback (most recent call last):
    ...
    jobs.tuning.refusal.Refused: length: nan is not a number.
    """
    if not isinstance(thing, type):
        return _guarded(thing)
    for name, member in list(vars(thing).items()):
        if isinstance(member, FunctionType) and (name == "__init__" or not name.startswith("_")):
            setattr(thing, name, _guarded(member))
    return thing


def _guarded(function: Checked) -> Checked:
    parameters = inspect.signature(function).parameters
    positional = tuple(parameters)
    checks = {
        name: check
        for name, parameter in parameters.items()
        if (check := _check_of(parameter.annotation)) is not None
    }

    @wraps(function)
    def guarded(*args: Any, **kwargs: Any) -> Any:
        for name, value in zip(positional, args, strict=False):
            if name in checks:
                checks[name](value, name)
        for name, value in kwargs.items():
            if name in checks:
                checks[name](value, name)
        try:
            result = function(*args, **kwargs)
        except ArithmeticError as why:
            raise _out_of_range() from why
        if result.__class__ is float and not math.isfinite(result):
            raise _out_of_range()
        return result

    return guarded  # type: ignore[return-value]


def _out_of_range() -> Refused:
    return Refused(_("No meaningful figure comes out of these numbers: check each of them."))


def _check_of(annotation: Any) -> ArgumentCheck | None:
    """The check for an annotation; None where nothing can be said of it."""
    if get_origin(annotation) in (Union, UnionType):
        return _one_of(get_args(annotation))
    if annotation in (float, int):
        return _number
    if get_origin(annotation) in (Sequence, tuple):
        return _sequence_of(_check_of(get_args(annotation)[0]))
    if get_origin(annotation) is Mapping:
        return _mapping_to(_check_of(get_args(annotation)[1]))
    wanted = get_origin(annotation) or annotation
    if not isinstance(wanted, type) or wanted is inspect.Parameter.empty:
        return None
    # The words of ``terms`` may be given as plain text; the functions say which they know.
    return _instance_of(str if issubclass(wanted, str) else wanted)


def _number(value: Any, name: str) -> None:
    if value.__class__ is not float or not math.isfinite(value):
        number(value, _spoken(name))


def _one_of(choices: tuple[Any, ...]) -> ArgumentCheck | None:
    """None if it is among the choices; text where text is; else what the last choice asks."""
    others = [choice for choice in choices if choice is not NoneType]
    check = _check_of(others[-1])
    text = str in others[:-1]

    def any_of(value: Any, name: str) -> None:
        if (value is None and NoneType in choices) or (text and isinstance(value, str)):
            return
        if check is not None:
            check(value, name)

    return any_of


def _sequence_of(check: ArgumentCheck | None) -> ArgumentCheck:
    def each(value: Any, name: str) -> None:
        if isinstance(value, str) or not hasattr(value, "__len__"):
            raise _missing(name)
        if check is not None:
            for one in value:
                check(one, name)

    return each


def _mapping_to(check: ArgumentCheck | None) -> ArgumentCheck:
    def each(value: Any, name: str) -> None:
        if not isinstance(value, Mapping):
            raise _missing(name)
        if check is not None:
            for key, one in value.items():
                check(one, str(key))

    return each


def _instance_of(wanted: type) -> ArgumentCheck:
    def instance(value: Any, name: str) -> None:
        if not isinstance(value, wanted):
            raise _missing(name)

    return instance


def _missing(name: str) -> Refused:
    return Refused(_("{what} is missing, or is of another kind.", what=_spoken(name)))


def _spoken(name: str) -> str:
    """The name of an argument as people say it.

    >>> _spoken("wheel_force_n"), _spoken("rate_n_per_mm"), _spoken("swings")
    ('wheel force', 'rate', 'swings')
    """
    return _UNITS.sub("", name).replace("_", " ")
