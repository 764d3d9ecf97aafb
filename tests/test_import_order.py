"""Imports point one way: a module may import only what stands above it in ORDER."""

import ast
from pathlib import Path

import wirepath

PACKAGE = Path(wirepath.__file__).parent

ORDER = """
errors units overlay workshop model geometry rectangles simplifying
plain_data
checking
fitting tracing slicing tapering widening forming sectioning assembling loading
nesting wire kerf stationing routing bowing fencing roughing timing stops estimating restocking
gluing beside planning varying
mesh_file drawing_file svg_file picture_file drawing_picture change_picture
rack_file workshop_file job_file plan_file
coordinates lists wording sheets templates view pictures
plan_folder report cli
""".split()


def module_name(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_modules(path: Path) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: relative import"
            names |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
    parts = [name.split(".") for name in names]
    return {part[1] for part in parts if part[0] == "wirepath" and len(part) > 1} - {"__version__"}


def sources() -> list[Path]:
    return [
        path
        for path in sorted(PACKAGE.rglob("*.py"))
        if path.name != "__init__.py" or path.parent != PACKAGE
    ]


def test_every_module_has_its_place_in_the_order():
    assert {module_name(path) for path in sources()} <= set(ORDER)


def test_every_module_imports_only_from_above():
    upward = [
        (module_name(path), name)
        for path in sources()
        for name in imported_modules(path)
        if name != module_name(path)
        and name in ORDER
        and ORDER.index(name) > ORDER.index(module_name(path))
    ]
    assert upward == []


def test_the_check_shares_nothing_with_the_stages_but_geometry():
    allowed = {"checking", "errors", "units", "overlay", "workshop", "model", "geometry"}
    for path in sources():
        if module_name(path) == "checking":
            assert imported_modules(path) <= allowed


def test_the_package_itself_imports_nothing():
    tree = ast.parse((PACKAGE / "__init__.py").read_text(encoding="utf-8"))
    assert not any(isinstance(node, (ast.Import, ast.ImportFrom)) for node in ast.walk(tree))


def test_the_help_needs_no_heavy_library():
    import subprocess
    import sys

    code = "import wirepath.cli, sys; print([m for m in ('numpy','shapely','ezdxf','matplotlib') "
    code += "if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
