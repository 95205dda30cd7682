"""What is written in the tree: no places of a workshop, nothing of its history, a README that opens with the job."""

from __future__ import annotations

import re

import pytest

from tests.house.tree import ROOT, shown, told, tracked

TEXT = {
    ".py",
    ".md",
    ".toml",
    ".ipynb",
    ".csv",
    ".html",
    ".j2",
    ".json",
    ".css",
    ".js",
    ".txt",
    ".yml",
    ".yaml",
    ".cfg",
    "",
}
HERE = "tests/house/test_words.py"
FORBIDDEN = {
    "a path of one machine": r"(?<![\w./<])/(?:work|tmp|home|root|Users)/[\w.-]+",
    "the address of a package registry": r"(?:pypi\.org|files\.pythonhosted\.org|index-url|registry\.npmjs)",
    "where the work came from": r"\b(?:seed[ ]document|tran[s]cript|prompt|language model|AI assistant|chatbot)\b",
    "a promise instead of code": r"\b(?:TODO|FIXME|XXX|HACK|lorem ipsum|coming soon|not implemented yet)\b",
    "a forgotten debugger": r"\b(?:breakpoint\(\)|pdb\.set_trace|import pdb)",
    "a conflict marker": r"^(?:<{7}|>{7}) ",
}


def written() -> dict[str, str]:
    """Text of every tracked file by its path."""
    kept = [path for path in tracked() if path.suffix in TEXT and shown(path) != HERE]
    return {shown(path): path.read_text(encoding="utf-8", errors="replace") for path in kept}


WRITTEN = written()


@pytest.mark.parametrize("what", FORBIDDEN)
def test_the_tree_holds_no(what: str) -> None:
    pattern = re.compile(FORBIDDEN[what], re.IGNORECASE if what.startswith("where") else re.MULTILINE)
    faults = []
    for name, text in WRITTEN.items():
        if name.endswith((".min.js", ".js")):
            continue
        for found in pattern.finditer(text):
            faults.append(f"{name}:{text.count(chr(10), 0, found.start()) + 1}: {found.group()!r}")
    assert not faults, told(faults, f"take out {what}:")


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    title, paragraph = [
        part for part in (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n") if part.strip()
    ][:2]
    assert title.startswith("# "), "README.md: begin with the title"
    assert not paragraph.startswith(("#", "-", "`", "!", "|")) and len(paragraph) > 200, (
        "README.md: after the title say in one paragraph what the kit does, for whom"
    )


@pytest.mark.parametrize("word", ["season run", "pytest"])
def test_the_readme_has_each_command_in_one_line_of_its_own_block(word: str) -> None:
    blocks = re.findall(
        r"^```[^\n]*\n(.*?)^```", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL
    )
    found = [block for block in blocks if word in block]
    assert found, f"README.md: give the command with `{word}` in a fenced block"
    assert len(found[0].strip().splitlines()) == 1, f"README.md: the first block with `{word}` holds one line only"
    assert found[0].startswith("python3 -m venv .venv && "), "README.md: both commands set up for themselves"


def test_a_name_stands_for_one_thing_in_the_glossary() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    words = re.findall(r"^\| ([^|]+?) \| ", text.split("## Glossary")[1], re.MULTILINE)
    assert len(words) > 10 and len(set(words)) == len(words), "DEVELOPERS.md: each word of the glossary once"


def test_no_file_is_a_surprise_in_size() -> None:
    faults = [f"{shown(path)}: {path.stat().st_size / 1e6:.1f} MB" for path in tracked() if path.stat().st_size > 2e6]
    assert not faults, told(faults, "keep what is generated out of the tree, or make it smaller:")
