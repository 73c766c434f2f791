"""The shape of the package: layers, sizes, imports and state. Every test prints its offenders."""

from __future__ import annotations

import ast
from collections.abc import Iterator

import source_tree
from source_tree import LAYERS, Module, modules

LONGEST_MODULE = 400  # lines
LONGEST_FUNCTION = 40  # lines of code, without docstring and comments
MOST_PARAMETERS = 6
MOST_WAYS = 10
# The one name that is filled while modules load, by the decorator that marks a function's source.
FILLED_AT_IMPORT = {"seaflow.base.sources.CITATIONS"}
NEVER_AT_RUN_TIME = ("scipy.optimize", "scipy.stats", "matplotlib", "pandas", "CoolProp", "wntr")
NOT_IN_PHYSICS = ("pint", "click", "tomllib", "logging")
CHANGING = {"append", "extend", "insert", "add", "update", "setdefault", "pop", "remove", "clear"}
CHANGING |= {"popitem", "discard", "sort", "reverse"}


def show(offenders: list[str]) -> str:
    return f"{len(offenders)} offenders:\n" + "\n".join(offenders)


def layer_of(name: str) -> str:
    parts = name.split(".")
    return parts[1] if len(parts) > 1 and parts[1] in LAYERS else "cli"


def test_imports_go_one_way() -> None:
    offenders = []
    for module in modules():
        for one in source_tree.imports(module):
            if not one.target.startswith("seaflow."):
                continue
            here, there = LAYERS.index(module.layer), LAYERS.index(layer_of(one.target))
            if there > here:
                offenders.append(f"{module.shown}:{one.line} imports {one.target}")
    assert not offenders, show(offenders)


def test_no_import_comes_back_to_itself() -> None:
    ours = {module.name for module in modules()}
    graph = {
        module.name: {
            one.target
            for one in source_tree.imports(module)
            if one.target in ours and one.target != module.name
        }
        for module in modules()
    }
    offenders = [" -> ".join(circle) for circle in circles(graph)]
    assert not offenders, show(offenders)


def test_no_folder_imports_its_way_back_to_itself() -> None:
    graph: dict[str, set[str]] = {}
    for module in modules():
        here = folder_of(module.name)
        graph.setdefault(here, set())
        for one in source_tree.imports(module):
            there = folder_of(one.target)
            if one.target.startswith("seaflow.") and there != here:
                graph[here].add(there)
                graph.setdefault(there, set())
    offenders = [" -> ".join(circle) for circle in circles(graph)]
    assert not offenders, show(offenders)


def folder_of(name: str) -> str:
    """The folder inside a layer that holds a module, or the module where it lies in none."""
    ours = {module.name for module in modules()}
    parts = (name if name in ours else name.rpartition(".")[0]).split(".")
    return ".".join(parts[:3])


def circles(graph: dict[str, set[str]]) -> Iterator[list[str]]:
    """One circle for each import that closes one."""
    done: set[str] = set()

    def walk(name: str, path: list[str]) -> Iterator[list[str]]:
        if name in path:
            yield [*path[path.index(name) :], name]
        elif name not in done:
            for other in sorted(graph[name]):
                yield from walk(other, [*path, name])
            done.add(name)

    for name in sorted(graph):
        yield from walk(name, [])


def test_the_search_for_circles_finds_one() -> None:
    assert list(circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}})) == [list("abca")]


def test_a_name_of_a_class_means_one_thing() -> None:
    """Schemas of answers call a record by it; commands and scripts have names of their own."""
    found: dict[str, list[str]] = {}
    for module in source_tree.modules():
        if module.layer != "cli":
            for node in module.tree.body:
                if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                    found.setdefault(node.name, []).append(module.name)
    assert {name: where for name, where in found.items() if len(where) > 1} == {}


def test_modules_are_short() -> None:
    lengths = [(len(module.text.splitlines()), module.shown) for module in modules()]
    offenders = [f"{name}: {lines} lines" for lines, name in lengths if lines > LONGEST_MODULE]
    assert not offenders, show(offenders)


def test_functions_are_short() -> None:
    offenders = over(LONGEST_FUNCTION, source_tree.code_lines, "lines of code")
    assert not offenders, show(offenders)


def test_functions_take_few_parameters() -> None:
    offenders = over(MOST_PARAMETERS, lambda _, one: source_tree.n_parameters(one), "parameters")
    assert not offenders, show(offenders)


def test_functions_have_few_ways_through() -> None:
    offenders = over(MOST_WAYS, lambda _, one: source_tree.complexity(one), "ways through")
    assert not offenders, show(offenders)


def over(most: int, measure, words: str) -> list[str]:
    """The functions that measure more than allowed."""
    return [
        f"{module.shown}:{one.lineno} {one.name}: {measure(module, one)} {words}"
        for module in modules()
        for one in source_tree.functions(module)
        if measure(module, one) > most
    ]


COUNTED = '''
def f(self, a, *b, c=1, **d):
    """One
    two."""

    # no line of code
    if a:
        return [
            a,
        ]
'''


def test_the_measures_see_what_they_count() -> None:
    tree = ast.parse(COUNTED)
    function = tree.body[0]
    assert isinstance(function, ast.FunctionDef)
    module = Module("seaflow.x", source_tree.ROOT / "x.py", COUNTED, tree)
    assert source_tree.code_lines(module, function) == 5
    assert source_tree.n_parameters(function) == 4
    assert source_tree.complexity(function) == 2


def test_no_star_no_bare_except_no_global() -> None:
    offenders = []
    for module in modules():
        for node in ast.walk(module.tree):
            if isinstance(node, ast.ImportFrom) and any(one.name == "*" for one in node.names):
                offenders.append(f"{module.shown}:{node.lineno} imports everything")
            elif isinstance(node, ast.ExceptHandler) and node.type is None:
                offenders.append(f"{module.shown}:{node.lineno} catches everything")
            elif isinstance(node, (ast.Global, ast.Nonlocal)):
                offenders.append(f"{module.shown}:{node.lineno} rebinds {', '.join(node.names)}")
    assert not offenders, show(offenders)


def test_modules_keep_no_state() -> None:
    offenders = [
        f"{module.shown}:{line} changes {name}"
        for module in modules()
        for line, name in changed_names(module)
        if f"{module.name}.{name}" not in FILLED_AT_IMPORT
    ]
    assert not offenders, show(offenders)


def changed_names(module: Module) -> Iterator[tuple[int, str]]:
    """Names of a module that one of its functions changes in place."""
    kept: set[str] = set()
    for node in module.tree.body:
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        kept |= {one.id for one in targets if isinstance(one, ast.Name)}
    for function in source_tree.functions(module):
        own = {one.arg for one in ast.walk(function.args) if isinstance(one, ast.arg)}
        for node in ast.walk(function):
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
                own.add(node.id)
        for node in ast.walk(function):
            name = _changed(node)
            if name in kept - own:
                yield node.lineno, name  # type: ignore[attr-defined]


def _changed(node: ast.AST) -> str | None:
    """Name that a call such as x.append(...) or an assignment to x[...] or x.y changes."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        held = node.func.value if node.func.attr in CHANGING else None
    elif isinstance(node, (ast.Subscript, ast.Attribute)) and not isinstance(node.ctx, ast.Load):
        held = node.value
    else:
        held = None
    return held.id if isinstance(held, ast.Name) else None


def test_no_heavy_library_at_run_time() -> None:
    offenders = forbidden(modules(), NEVER_AT_RUN_TIME)
    assert not offenders, show(offenders)


def test_physics_knows_no_units_files_or_commands() -> None:
    physics = tuple(module for module in modules() if module.layer == "physics")
    offenders = forbidden(physics, NOT_IN_PHYSICS)
    assert not offenders, show(offenders)


def forbidden(among: tuple[Module, ...], names: tuple[str, ...]) -> list[str]:
    """Imports of the named libraries or of anything in them."""
    return [
        f"{module.shown}:{one.line} imports {one.target}"
        for module in among
        for one in source_tree.imports(module)
        if any(one.target == name or one.target.startswith(f"{name}.") for name in names)
    ]
