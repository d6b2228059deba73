"""The changes a mutant may make: a choice of mutmut's, and two of our own.

Left out of mutmut's: changed strings (words on screens), arguments replaced by ``None`` and
assignments of ``None`` (nearly all of them crash on the next line and so say nothing).
"""

from collections.abc import Callable, Iterable

import libcst as cst
import libcst.matchers as m
from mutmut.mutation import mutators

CONDITIONS = ("filter", "exclude", "get", "update", "Q")


def guard_never_taken(node: cst.If) -> Iterable[cst.CSTNode]:
    """``if late: raise Refused`` becomes ``if False: raise Refused``."""
    last = node.body.body[-1] if isinstance(node.body, cst.IndentedBlock) else node.body
    leaves = m.SimpleStatementLine(body=[m.OneOf(m.Raise(), m.Return(), m.Continue())])
    if node.orelse is None and m.matches(last, leaves):
        yield cst.Name("False")


def condition_left_out(node: cst.Call) -> Iterable[cst.CSTNode]:
    """``rows.filter(bike=bike, day=day)`` becomes ``rows.filter(day=day)``, then without day."""
    name = m.OneOf(*(m.Name(word) for word in CONDITIONS))
    if not m.matches(node.func, name | m.Attribute(attr=name)):
        return
    for place, argument in enumerate(node.args):
        if argument.keyword and (len(node.args) > 1 or not m.matches(node.func, m.Name("Q"))):
            kept = [*node.args[:place], *node.args[place + 1 :]]
            if kept:
                kept[-1] = kept[-1].with_changes(comma=cst.MaybeSentinel.DEFAULT)
            yield node.with_changes(args=kept)


Operator = Callable[..., Iterable[cst.CSTNode]]

OPERATORS: tuple[tuple[type, Operator], ...] = (
    (cst.BaseNumber, mutators.operator_number),
    (cst.Name, mutators.operator_name),
    (cst.UnaryOperation, mutators.operator_remove_unary_ops),
    (cst.CSTNode, mutators.operator_keywords),
    (cst.CSTNode, mutators.operator_swap_op),
    (cst.IfExp, mutators.operator_if_exp),
    (cst.Call, mutators.operator_symmetric_string_methods_swap),
    (cst.Call, condition_left_out),
)


def changes(node: cst.CSTNode) -> Iterable[tuple[cst.CSTNode, cst.CSTNode]]:
    """Each change of this node: what is replaced, and by what."""
    if isinstance(node, cst.If):
        for new in guard_never_taken(node):
            yield node.test, new
    for kind, operator in OPERATORS:
        if isinstance(node, kind):
            for new in operator(node):
                yield node, new
