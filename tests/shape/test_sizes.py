"""Files and functions stay small enough to be read at once."""

import ast

from .source import ROOT, files

MOST_LINES_OF_A_FILE = 400
MOST_LINES_OF_A_FUNCTION = 60


def test_no_file_is_long():
    long = {
        str(path.relative_to(ROOT)): lines
        for path in files(".py", ".js", ".css", ".html")
        if (lines := len(path.read_text().splitlines())) > MOST_LINES_OF_A_FILE
    }
    assert long == {}


def test_no_function_is_long():
    long = {
        f"{path.relative_to(ROOT)}:{node.name}": lines
        for path in files(".py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (lines := (node.end_lineno or 0) - node.lineno + 1) > MOST_LINES_OF_A_FUNCTION
    }
    assert long == {}
