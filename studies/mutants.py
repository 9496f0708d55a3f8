"""One small wrong at a time in a module's source: what `studies/study_mutants.py` asks the tests to notice."""
from __future__ import annotations

import ast
import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass

TURNED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.And: ast.Or, ast.Or: ast.And}
OTHER = {"at_most": "at_least", "at_least": "at_most", "below": "at_least", "all_of": "best_of", "best_of": "all_of",
         "min": "max", "max": "min", "least": "most", "most": "least", "lowest": "highest", "highest": "lowest",
         "any": "all", "all": "any"}
TRUTH = {True: False, False: True, None: True}           # a missing value that reads as a pass is the worst of all


@dataclass(frozen=True)
class Mutant:
    """`of` is the function it lies in, `where` the columns it stands in: a line may hold several. `whole` is the module as it is.

    at, way: the number of its node in the module, and of the way in which that is wrong; -1 where nothing is."""
    file: str
    of: str
    line: int
    says: str
    whole: str
    where: str = ""
    at: int = -1
    way: int = -1

    @property
    def name(self) -> str:
        return f"{self.file}:{self.line}:{self.where} {self.of}: {self.says}"

    @property
    def source(self) -> str:
        """The whole module with that one thing wrong."""
        tree = ast.parse(self.whole)
        if self.at >= 0:
            node, _ = next(itertools.islice(_nodes(tree), self.at, None))
            list(_ways(node))[self.way][1]()
        return ast.unparse(tree)


def mutants(file: str, source: str) -> Iterator[Mutant]:
    """Every mutant of a module, in the order of its lines. What is said in words, and what only types, is left alone."""
    for at, (node, of) in enumerate(_nodes(ast.parse(source))):
        columns = f"{getattr(node, 'col_offset', 0)}-{getattr(node, 'end_col_offset', 0)}"
        for way, (says, _) in enumerate(_ways(node)):
            yield Mutant(file, of, getattr(node, "lineno", 0), says, source, columns, at, way)


def _nodes(tree: ast.Module) -> Iterator[tuple[ast.AST, str]]:
    """Every node inside a function that can be turned, with the function's name."""
    for function in _functions(tree.body):
        yield from ((node, function.name) for statement in function.body for node in _inside(statement))


def _functions(body: list[ast.stmt]) -> Iterator[ast.FunctionDef]:
    for each in body:
        if isinstance(each, ast.FunctionDef):
            yield each
        elif isinstance(each, ast.ClassDef):
            yield from _functions(each.body)


def _inside(node: ast.AST) -> Iterator[ast.AST]:
    """Not the words: f-strings, and whatever is raised."""
    if isinstance(node, ast.JoinedStr | ast.Raise):
        return
    yield node
    for child in ast.iter_child_nodes(node):
        yield from _inside(child)


def _ways(node: ast.AST) -> Iterator[tuple[str, Callable[[], None]]]:
    """(words, what makes the change) for each way in which this node can be wrong."""
    if isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in TURNED:
        yield f"{_name(node.op)} made {_name(TURNED[type(node.op)]())}", lambda: setattr(node, "op", TURNED[type(node.op)]())
    elif isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in TURNED:
        other = TURNED[type(node.ops[0])]()
        yield f"{_name(node.ops[0])} made {_name(other)}", lambda: setattr(node, "ops", [other])
    elif isinstance(node, ast.Constant):
        yield from _constant(node)
    elif isinstance(node, ast.If | ast.IfExp):
        yield "the question turned round", lambda: setattr(node, "test", ast.UnaryOp(ast.Not(), node.test))
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield "Not taken away", lambda: setattr(node, "operand", ast.UnaryOp(ast.Not(), node.operand))
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in OTHER:
        yield f"{node.func.id} made {OTHER[node.func.id]}", lambda: setattr(node.func, "id", OTHER[node.func.id])


def _constant(node: ast.Constant) -> Iterator[tuple[str, Callable[[], None]]]:
    value = node.value
    if value is None or isinstance(value, bool):
        yield f"{value} made {TRUTH[value]}", lambda: setattr(node, "value", TRUTH[value])
    elif isinstance(value, int | float) and not isinstance(value, complex):
        yield f"{value} made {value + 1}", lambda: setattr(node, "value", value + 1)


def _name(op: ast.AST) -> str:
    return type(op).__name__
