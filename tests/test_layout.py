"""What may need what, and what nothing may be called, read from the syntax trees."""

from __future__ import annotations

import ast
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import networkx as nx
import pytest

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("tablesync", "mobile")

OUTSIDE_WORLD = {
    "aiosqlite",
    "asyncio",
    "ctypes",
    "datetime",
    "http",
    "io",
    "kivy",
    "logging",
    "multiprocessing",
    "os",
    "pathlib",
    "random",
    "secrets",
    "select",
    "selectors",
    "shutil",
    "signal",
    "socket",
    "sqlite3",
    "ssl",
    "subprocess",
    "sys",
    "tempfile",
    "threading",
    "time",
    "urllib",
    "uuid",
    "websockets",
}
"""Clocks, chance, files, sockets, threads and screens: no matter of core or sync."""
CALLS_TO_THE_WORLD = {"breakpoint", "input", "open", "print"}
# Whoever comes later in the map may need what comes earlier, and nothing else of ours.
CORE_MAY_NEED = ("tablesync.core", "tablesync.errors", "tablesync.frozen")
SYNC_MAY_NEED = (
    *CORE_MAY_NEED,
    "tablesync.sync",
    "tablesync.checkpoint",
    "tablesync.ed25519",
    "tablesync.seal",
    "tablesync.sheet_bytes",
    "tablesync.statement",
    "tablesync.strict_msgpack",
    "msgpack",
)
KIVY_LIVES_IN = ("mobile",)
PDF_WRITERS = ("fpdf", "font_roboto")
PRINTING = ("tablesync.paper",)
WITHOUT_KIVY = ("mobile.presenters", "mobile.texts", "mobile.theme")

VAGUE = {
    "base",
    "common",
    "handler",
    "handlers",
    "helper",
    "helpers",
    "manager",
    "managers",
    "misc",
    "service",
    "services",
    "util",
    "utils",
}
"""Words that say nothing of what a thing is."""


@dataclass(frozen=True)
class Import:
    """One name that a module takes from another."""

    module: str
    name: str | None
    """None where the whole module is imported."""
    line: int

    @property
    def top(self) -> str:
        """The distribution or standard module that it belongs to."""
        return self.module.partition(".")[0]


@dataclass(frozen=True)
class Module:
    """One source file, by its dotted name."""

    name: str
    path: Path
    tree: ast.Module

    def is_in(self, *packages: str) -> bool:
        """Whether it is one of these modules or lies in one of these packages."""
        return is_within(self.name, packages)

    def imports(self) -> Iterator[Import]:
        """Everything it imports, wherever in the file, for types too."""
        return imports_in(ast.walk(self.tree))

    def imports_to_run(self) -> Iterator[Import]:
        """What has to be imported before it."""
        return imports_in(self.tree.body)

    def at(self, line: int) -> str:
        """A place in it, for messages."""
        return f"{self.path.relative_to(ROOT)}:{line}"


def imports_in(nodes: Iterable[ast.AST]) -> Iterator[Import]:
    for node in nodes:
        match node:
            case ast.Import(names=names):
                for alias in names:
                    yield Import(alias.name, None, node.lineno)
            case ast.ImportFrom(module=str(module), names=names):
                for alias in names:
                    yield Import(module, alias.name, node.lineno)
            case _:
                continue


def is_within(name: str, packages: tuple[str, ...]) -> bool:
    return any(name == p or name.startswith(f"{p}.") for p in packages)


@cache
def modules() -> dict[str, Module]:
    found: dict[str, Module] = {}
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            name = ".".join(part for part in parts if part != "__init__")
            found[name] = Module(name, path, ast.parse(path.read_text("utf-8")))
    return found


def target(imported: Import) -> str:
    """The module of ours that an import needs: a name may be a module itself."""
    full = f"{imported.module}.{imported.name}"
    return full if full in modules() else imported.module


def exported(module: Module) -> list[str] | None:
    for node in module.tree.body:
        match node:
            case ast.Assign(targets=[ast.Name(id="__all__")], value=value):
                names: list[str] = ast.literal_eval(value)
                return names
            case _:
                continue
    return None


def bound(module: Module) -> set[str]:
    """The names that a module binds at its top."""
    names: set[str] = set()
    for node in ast.walk(module.tree):
        match node:
            case ast.ClassDef(name=name) | ast.FunctionDef(name=name):
                names.add(name)
            case ast.AsyncFunctionDef(name=name) | ast.Name(id=name):
                names.add(name)
            case ast.alias(name=name, asname=asname):
                names.add(asname or name)
            case _:
                continue
    return names


def strange_imports(package: str, *may_need: str) -> list[str]:
    return [
        f"{module.at(imported.line)} needs {imported.module}"
        for module in modules().values()
        if module.is_in(package)
        for imported in module.imports()
        if imported.top in (*PACKAGES, "msgpack", "cryptography", "rich", "click")
        if not is_within(target(imported), may_need)
    ]


def test_the_tree_is_where_it_is_looked_for() -> None:
    assert len(modules()) > 50
    assert {"tablesync.core.history", "mobile.presenters"} <= set(modules())


def test_core_needs_only_core_errors_and_how_classes_are_made() -> None:
    assert strange_imports("tablesync.core", *CORE_MAY_NEED) == []


def test_sync_needs_only_core_the_exact_bytes_and_itself() -> None:
    assert strange_imports("tablesync.sync", *SYNC_MAY_NEED) == []


@pytest.mark.parametrize("package", ["tablesync.core", "tablesync.sync"])
def test_core_and_sync_touch_nothing_outside(package: str) -> None:
    inside = [module for module in modules().values() if module.is_in(package)]
    reaching = [
        f"{module.at(imported.line)} needs {imported.module}"
        for module in inside
        for imported in module.imports()
        if imported.top in OUTSIDE_WORLD
    ]
    calling = [
        f"{module.at(node.lineno)} calls {node.func.id}"
        for module in inside
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        if node.func.id in CALLS_TO_THE_WORLD
    ]
    assert reaching + calling == []


def test_errors_need_nothing_of_ours() -> None:
    ours = (imported.top for imported in modules()["tablesync.errors"].imports())
    assert not {"tablesync", "mobile"} & set(ours)


def test_no_field_is_of_a_kind_that_frozen_classes_lack() -> None:
    assert [
        f"{module.at(imported.line)} takes {imported.name}"
        for module in modules().values()
        for imported in module.imports()
        if imported.module == "dataclasses" and imported.name in {"InitVar", "KW_ONLY"}
    ] == []


def test_kivy_is_only_where_it_is_drawn() -> None:
    assert [
        module.at(imported.line)
        for module in modules().values()
        for imported in module.imports()
        if imported.top == "kivy"
        if not module.is_in(*KIVY_LIVES_IN) or module.is_in(*WITHOUT_KIVY)
    ] == []


def test_only_the_command_line_opens_screens() -> None:
    assert [
        module.at(imported.line)
        for module in modules().values()
        if module.is_in("tablesync")
        if not module.is_in("tablesync.commands", "tablesync.cli")
        for imported in module.imports()
        if imported.top == "mobile"
    ] == []


def test_what_writes_pdf_is_needed_only_to_write_it() -> None:
    """It is an extra: whoever does not print must not miss it."""
    needing = [
        f"{module.at(imported.line)} needs {imported.module}"
        for module in modules().values()
        if not module.is_in("tablesync.paper")
        for imported in module.imports_to_run()
        if imported.top in PDF_WRITERS or is_within(target(imported), PRINTING)
    ]
    assert needing == []


def test_no_module_needs_itself_round_about() -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    for module in modules().values():
        for imported in module.imports_to_run():
            if target(imported) in modules():
                graph.add_edge(module.name, target(imported))
    assert list(nx.simple_cycles(graph)) == []


def test_no_import_is_relative() -> None:
    assert [
        module.at(node.lineno)
        for module in modules().values()
        for node in ast.walk(module.tree)
        if isinstance(node, ast.ImportFrom) and node.level
    ] == []


def test_every_module_says_what_it_offers() -> None:
    for module in modules().values():
        # A package that holds nothing but its docstring has nothing to offer.
        if len(module.tree.body) > 1:
            names = exported(module)
            assert names is not None, f"{module.path} lacks __all__"
            assert set(names) <= bound(module), f"{module.path} lacks a name of its own"
            assert len(set(names)) == len(names)


def test_only_what_a_module_offers_is_taken_from_it() -> None:
    assert [
        f"{module.at(imported.line)} takes {imported.name} from {imported.module}"
        for module in modules().values()
        for imported in module.imports()
        if imported.name is not None and target(imported) == imported.module
        if imported.module in modules()
        if imported.name not in (exported(modules()[imported.module]) or ())
    ] == []


def test_every_module_begins_by_saying_what_it_is_for() -> None:
    silent = [m.name for m in modules().values() if not ast.get_docstring(m.tree)]
    assert silent == []


def test_nothing_has_a_name_that_says_nothing() -> None:
    named = [
        name
        for module in modules().values()
        for name in (
            module.name.rpartition(".")[2],
            *(n.name for n in ast.walk(module.tree) if isinstance(n, ast.ClassDef)),
        )
    ]
    assert [name for name in named if words_of(name) & VAGUE] == []


def words_of(name: str) -> set[str]:
    return {word.lower() for word in re.findall(r"[A-Z]?[a-z]+|[A-Z]+", name)}


def test_no_argument_is_a_nameless_yes_or_no() -> None:
    functions = (
        (module, node)
        for module in modules().values()
        if module.is_in("tablesync")
        for node in ast.walk(module.tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    )
    assert [
        f"{module.at(node.lineno)}: {node.name}"
        for module, node in functions
        for default in node.args.defaults
        if isinstance(default, ast.Constant) and isinstance(default.value, bool)
    ] == []


MACHINE_WORDS = re.compile(r"/(?:work|tmp|root)/|(?i:\bissue #?\d{1,2}\b|-index[-]url)")


def text_files() -> Iterator[tuple[Path, str]]:
    """What belongs to the project, but for caches, environments and pictures."""
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        is_ours = not any(
            part.startswith(".venv") or part.endswith((".egg-info", "__pycache__"))
            for part in parts
        )
        is_hidden = parts[0].startswith(".") and parts[0] not in {".ci", ".gitignore"}
        if is_ours and not is_hidden and path.is_file():
            try:
                yield path, path.read_text("utf-8")
            except UnicodeDecodeError:
                continue


def test_no_file_knows_the_machine_it_was_written_on() -> None:
    texts = dict(text_files())
    assert ROOT / "tests" / "test_layout.py" in texts
    assert [
        f"{path.relative_to(ROOT)}: {found[0]}"
        for path, text in texts.items()
        if (found := MACHINE_WORDS.search(text))
    ] == []
