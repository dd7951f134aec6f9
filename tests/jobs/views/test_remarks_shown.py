"""No remark of a plan is said where nobody reads it."""

import ast
from pathlib import Path

import jobs.planning
from jobs.views.stage_pages import STAGE_PAGES


def keys_of_remarks() -> set[tuple[str, str]]:
    """Read from the source of the planning package with which keys remarks are made, and where."""
    found = set()
    for path in Path(jobs.planning.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Remark"):
                continue
            key = next(word.value for word in node.keywords if word.arg == "key")
            start = key.values[0] if isinstance(key, ast.JoinedStr) else key
            if isinstance(start, ast.Constant):
                found.add((path.name, str(start.value)))
    return found


def test_every_remark_of_a_plan_is_on_a_page() -> None:
    beginnings = tuple(beginning for page in STAGE_PAGES.values() for beginning in page.remarks)
    found = keys_of_remarks()
    assert len(found) > 20
    assert [(where, key) for where, key in sorted(found) if not key.startswith(beginnings)] == []
