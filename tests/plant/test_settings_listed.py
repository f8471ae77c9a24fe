"""Every variable the site reads stands in .env.example and DEVELOPERS.md, and no other."""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# Read too, but not ours to set.
OF_THE_SYSTEM = {"XDG_DATA_HOME", "DJANGO_SETTINGS_MODULE"}
READERS = {
    *("text", "flag", "whole_number", "words", "postgres_url", "private_targets"),
    *("get", "setdefault", "getenv"),
}


def variables_read() -> set[str]:
    read = set()
    for path in (ROOT / "plant").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and _reads_environment(node.func) and node.args:
                read |= _name(node.args[0])
            elif isinstance(node, ast.Subscript) and ast.unparse(node.value) == "os.environ":
                read |= _name(node.slice)
    return read - OF_THE_SYSTEM


def _reads_environment(function: ast.expr) -> bool:
    if not isinstance(function, ast.Attribute) or function.attr not in READERS:
        return False
    return ast.unparse(function.value) in {"environment", "os.environ", "os"}


def _name(node: ast.expr) -> set[str]:
    is_name = isinstance(node, ast.Constant) and isinstance(node.value, str)
    return {node.value} if is_name else set()


def test_reading_the_code_finds_variables_of_every_kind():
    assert {"DEBUG", "CONN_MAX_AGE", "DATABASE_URL", "LOOPWRIGHT_DATA"} <= variables_read()


def test_env_example_lists_every_variable_and_no_other():
    lines = (ROOT / ".env.example").read_text().splitlines()
    listed = [match[1] for line in lines if (match := re.match(r"(?:# )?([A-Z][A-Z_]+)=", line))]

    assert set(listed) == variables_read()
    assert len(listed) == len(set(listed))


def test_table_for_contributors_lists_every_variable_and_no_other():
    text = (ROOT / "DEVELOPERS.md").read_text()
    section = text.split("## Settings")[1].split("\n## ")[0]
    listed = re.findall(r"^\| `([A-Z_]+)` \|", section, re.MULTILINE)

    assert set(listed) == variables_read()
    assert len(listed) == len(set(listed))


def test_full_check_runs_the_command_the_readme_gives():
    readme = (ROOT / "README.md").read_text().splitlines()
    command = next(line for line in readme if line.endswith("pytest -n 2"))

    assert f"'{command}'" in (ROOT / ".ci" / "run").read_text()
