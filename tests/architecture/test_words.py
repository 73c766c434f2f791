"""Facts and sentences stay apart: every kind of fact has one sentence, and studies have none."""

from __future__ import annotations

import ast
import string
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest
import source_tree
from source_tree import ROOT, Module, modules

WORDS = ROOT / "seaflow" / "present" / "words"
CHAPTERS = sorted(path.stem for path in WORDS.glob("*.py") if path.stem != "__init__")
SENTENCE = 3  # words and more in one string are English


def facts_made() -> Iterator[tuple[str, set[str], str]]:
    """Yield kind, names of values and place of every fact that the package makes."""
    for module in modules():
        for node in ast.walk(module.tree):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id == "fact" and node.args and isinstance(node.args[0], ast.Constant):
                names = {item.arg or "**" for item in node.keywords}
                yield str(node.args[0].value), names, f"{module.shown}:{node.lineno}"


def sentences() -> dict[str, object]:
    """Every sentence of the book by the kind of its fact."""
    return {
        f"{chapter}.{name}": words
        for chapter in CHAPTERS
        for name, words in import_module(f"seaflow.present.words.{chapter}").WORDS.items()
    }


def test_every_fact_has_a_sentence_that_asks_for_what_it_has() -> None:
    book, offenders = sentences(), []
    for kind, names, place in facts_made():
        words = book.get(kind)
        if words is None:
            offenders.append(f"{place}: no sentence for {kind}")
        elif isinstance(words, str) and "**" not in names:
            fields = {field for _, field, _, _ in string.Formatter().parse(words) if field}
            missing = fields - names
            offenders += [f"{place}: {kind} gives no {name}" for name in sorted(missing)]
    assert not offenders, "\n".join(offenders)


def test_every_sentence_has_a_fact() -> None:
    text = "\n".join(module.text for module in modules() if "present/words" not in module.shown)
    unused = [kind for kind in sentences() if f'"{kind}"' not in text]
    assert not unused, "\n".join(unused)


def english(module: Module) -> Iterator[str]:
    """Yield every string of a module that is a sentence, but docstrings and texts of problems."""
    aside = {id(node) for one in ast.walk(module.tree) for node in quiet(one)}
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in aside:
            words = [word for word in node.value.split() if any(c.isalpha() for c in word)]
            if len(words) >= SENTENCE:
                yield f"{module.shown}:{node.lineno} says {node.value[:60]!r}"


def quiet(node: ast.AST) -> Iterator[ast.AST]:
    """Yield docstrings, and what is inside a call that makes a problem or ends in an error."""
    if isinstance(node, (ast.FunctionDef, ast.ClassDef, ast.Module)):
        yield from ast.walk(node.body[0]) if ast.get_docstring(node) else ()
    elif isinstance(node, ast.Raise) or (
        isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("Problem", "question")
    ):
        yield from ast.walk(node)


@pytest.mark.parametrize("folder", sorted({p.name for p in (ROOT / "seaflow/studies").iterdir()}))
def test_studies_hold_no_sentence(folder: str) -> None:
    here = Path("seaflow/studies") / folder
    offenders = [
        said
        for module in source_tree.modules()
        if Path(module.shown) == here or here in Path(module.shown).parents
        for said in english(module)
    ]
    assert not offenders, f"{len(offenders)} sentences\n" + "\n".join(offenders)
