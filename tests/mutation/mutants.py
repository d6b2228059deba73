"""All mutants of a room, and the seeded sample of them."""

import hashlib
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import libcst as cst
import libcst.matchers as m
from libcst.metadata import CodeRange, MetadataWrapper, WhitespaceInclusivePositionProvider

from .operators import changes

# Words for people, columns, and what only a type checker reads.
UNTOUCHED = (
    m.Annotation()
    | m.Call(func=m.Name("_") | m.Name("ngettext") | m.Name("pgettext"))
    | m.BaseString()
    | m.If(test=m.Name("TYPE_CHECKING"))
    | m.BinaryOperation(operator=m.Modulo(), right=m.Dict())
    | m.Call(func=m.Attribute(value=m.Name("models")))
    | m.Decorator(decorator=m.Call(func=m.Name("dataclass")))
)
NAMED = cst.FunctionDef | cst.ClassDef


@dataclass(frozen=True)
class Mutant:
    """One change: from line ``first`` on, ``file`` reads ``after`` instead of ``before``."""

    file: str
    function: str
    before: str
    after: str
    first: int
    source: str
    executed: frozenset[int]  # lines: a test that executes one of them may tell the difference

    @property
    def identity(self) -> tuple[str, str, str, str]:
        return self.file, self.function, self.before, self.after

    def __str__(self) -> str:
        place = f"{self.file}:{self.first} {self.function}"
        return f"{place}\n    - {self.before}\n    + {self.after}"


def mutants_of(root: Path, room: str) -> list[Mutant]:
    """Every mutant of the room's files that is valid Python, in the order of the files."""
    found: list[Mutant] = []
    for path in sorted((root / "jobs" / room).rglob("*.py")):
        if "migrations" not in path.parts:
            found += _told_apart(_mutants(path.read_text(), str(path.relative_to(root))))
    return found


def sample(mutants: list[Mutant], count: int, seed: int) -> list[Mutant]:
    """The ``count`` mutants of lowest hash: a change of other code leaves them as they are."""

    def rank(mutant: Mutant) -> bytes:
        return hashlib.sha256(repr((seed, *mutant.identity)).encode()).digest()

    return sorted(sorted(mutants, key=rank)[:count], key=lambda mutant: (mutant.file, mutant.first))


def _told_apart(mutants: Iterator[Mutant]) -> Iterator[Mutant]:
    """The second of the same text in one function is called so by ``#2``."""
    seen: Counter[tuple[str, ...]] = Counter()
    for mutant in mutants:
        seen[mutant.identity] += 1
        times = seen[mutant.identity]
        yield mutant if times == 1 else replace(mutant, after=f"{mutant.after}  #{times}")


def _mutants(source: str, file: str) -> Iterator[Mutant]:
    wrapper = MetadataWrapper(cst.parse_module(source), unsafe_skip_copy=True)
    spans = wrapper.resolve(WhitespaceInclusivePositionProvider)
    lines = source.splitlines(keepends=True)
    for old, new, around in _walk(wrapper.module, ()):
        span = spans[old]
        first, last = span.start.line - 1, span.end.line - 1
        head, tail = lines[first][: span.start.column], lines[last][span.end.column :]
        middle = head + wrapper.module.code_for_node(new) + tail
        changed = "".join([*lines[:first], middle, *lines[last + 1 :]])
        before, after = _one_line("".join(lines[first : last + 1])), _one_line(middle)
        if before != after and _is_valid(changed) and not _is_column(file, around):
            function = ".".join(node.name.value for node in around if isinstance(node, NAMED))
            executed = {*range(first + 1, last + 2), *_executed_with(around, spans)}
            yield Mutant(file, function, before, after, first + 1, changed, frozenset(executed))


def _is_column(file: str, around: tuple[cst.CSTNode, ...]) -> bool:
    """Columns and constraints are said again by the migrations, which are not mutated."""
    in_class = any(isinstance(node, cst.ClassDef) for node in around[-2:-1])
    return "models" in Path(file).with_suffix("").parts and in_class


def _executed_with(
    around: tuple[cst.CSTNode, ...], spans: Mapping[cst.CSTNode, CodeRange]
) -> range:
    """The lines of the whole statement; of a default or a decorator, those of the body."""
    statement = around[-1] if around else None
    if isinstance(statement, cst.FunctionDef):
        span = spans[statement.body]
    elif isinstance(statement, cst.SimpleStatementLine):
        span = spans[statement]
    else:
        return range(0)
    return range(span.start.line, span.end.line + (span.end.column > 0))


def _walk(
    node: cst.CSTNode, around: tuple[cst.CSTNode, ...]
) -> Iterator[tuple[cst.CSTNode, cst.CSTNode, tuple[cst.CSTNode, ...]]]:
    """What may be replaced, by what, and the statements around it, the innermost last."""
    if m.matches(node, UNTOUCHED):
        return
    if isinstance(node, cst.SimpleStatementLine | cst.BaseCompoundStatement):
        around = (*around, node)
    for old, new in changes(node):
        yield old, new, around
    for child in node.children:
        yield from _walk(child, around)


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _is_valid(source: str) -> bool:
    try:
        compile(source, "mutant", "exec")
    except SyntaxError:
        return False
    return True
