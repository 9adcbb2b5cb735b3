"""The plan of the house: which folder imports which, what the start may load, what stands at the top."""

from __future__ import annotations

import ast
import json
import os
import pathlib
import subprocess
import sys
from collections.abc import Iterator

import pytest

from tests.house.checkout import PACKAGE, ROOT

# A folder imports only from itself and from those left of it.
LAYERS = ("model", "dump", "dialect", "derive", "audit", "compare", "baseline", "report", "cli")

# What stands beside the folders and imports nothing of ours.
BASES = {"kept", "shipped", "__version__"}

_RELATIVE = "a relative import"

# Each costs tens of milliseconds: loaded by the command that needs it, never by the start.
HEAVY = ("lark", "yaml", "yamlcore", "jsonschema", "referencing", "deepdiff", "cel_expr_python")

TOP = {
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "cfgaudit",
    "grammars",
    "pyproject.toml",
    "rules",
    "samples",
    "tests",
}


def imported(source: str) -> Iterator[tuple[int, str]]:
    """Line and module of every import, wherever it stands: in functions, for types, by name."""
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Import(names=names):
                yield from ((node.lineno, one.name) for one in names)
            case ast.ImportFrom(module="cfgaudit", names=names, level=0):
                yield from ((node.lineno, f"cfgaudit.{one.name}") for one in names)
            case ast.ImportFrom(module=str(module), level=0):
                yield node.lineno, module
            case ast.ImportFrom():
                yield node.lineno, _RELATIVE
            case ast.Call(
                func=ast.Name(id="import_module" | "__import__") | ast.Attribute(attr="import_module"),
                args=[
                    ast.Constant(value=str(module)) | ast.JoinedStr([ast.Constant(value=str(module)), *_]),
                    *_,
                ],
            ):
                yield node.lineno, module


def trespasses(layer: str, source: str) -> list[str]:
    """Imports that a file of this layer must not make."""
    reachable = LAYERS[: LAYERS.index(layer) + 1]

    def allowed(module: str) -> bool:
        package, *inside = module.split(".")
        if package != "cfgaudit":
            return module != _RELATIVE
        if not inside:  # the package's own functions, which reach everything
            return layer == LAYERS[-1]
        return inside[0] in {*reachable, *BASES}

    return [
        f"line {line}: {layer} imports {module}" for line, module in imported(source) if not allowed(module)
    ]


@pytest.mark.parametrize("layer", LAYERS)
def test_imports_go_left(layer: str) -> None:
    found = [
        f"{file.relative_to(ROOT)} {one}"
        for file in sorted((PACKAGE / layer).rglob("*.py"))
        for one in trespasses(layer, file.read_text("utf-8"))
    ]
    assert not found, "\n".join(found)


def test_every_folder_is_a_layer() -> None:
    folders = {file.parent.relative_to(PACKAGE).parts[:1] for file in PACKAGE.rglob("*.py")}
    assert folders == {(), *((layer,) for layer in LAYERS)}


def test_shipped_imports_nothing_of_ours() -> None:
    modules = [module for _, module in imported((PACKAGE / "shipped.py").read_text("utf-8"))]
    assert not [module for module in modules if module.startswith("cfgaudit")]


@pytest.mark.parametrize(
    "source",
    [
        "from cfgaudit.report.audit import drawn",
        "import cfgaudit.cli.main",
        "def f():\n    from cfgaudit.audit import rules",
        "from cfgaudit import compare",
        "from ..report import audit",
        "if TYPE_CHECKING:\n    from cfgaudit.baseline import git",
        "importlib.import_module('cfgaudit.report.audit')",
        "import_module(f'cfgaudit.cli.{name}')",
        "import cfgaudit",
        "from cfgaudit import read_dump",
    ],
)
def test_a_trespass_is_seen(source: str) -> None:
    assert trespasses("derive", source)


@pytest.mark.parametrize(
    "source",
    [
        "import json, lark",
        "from cfgaudit.model.path import Path",
        "from cfgaudit.derive import dshot",
        "from cfgaudit import dump, shipped",
        "from cfgaudit.shipped import shipped",
    ],
)
def test_going_left_is_no_trespass(source: str) -> None:
    assert not trespasses("derive", source)


def test_start_loads_nothing_heavy(tmp_path: pathlib.Path) -> None:
    start = (
        "import json, sys\n"
        "sys.argv = ['cfgaudit', '--version']\n"
        "from cfgaudit.cli.main import main\n"
        "try:\n"
        "    sys.exit(main())\n"
        "except SystemExit as done:\n"
        "    assert not done.code, done.code\n"
        "print(json.dumps(sorted({name.partition('.')[0] for name in sys.modules})))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", start],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    version, *_, modules = done.stdout.splitlines()
    assert "0.1.0" in version
    assert not set(HEAVY) & set(json.loads(modules))


def test_top_of_the_checkout() -> None:
    if not (ROOT / ".git").exists():
        pytest.skip("not a git checkout")
    listed = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard", "-z"], cwd=ROOT, capture_output=True, check=True
    )
    names = {pathlib.PurePosixPath(name).parts[0] for name in listed.stdout.decode().split("\0") if name}
    assert {name for name in names if not name.startswith(".")} == TOP
