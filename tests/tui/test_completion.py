"""The shell completes verbs and options: the script is read by a real bash and asked as Tab asks it."""

from __future__ import annotations

import shutil
import subprocess

import pytest

from tests.tui.command_line import one_sentence
from tui.commands import SECTIONS, main, parser
from tui.verbs.completion import tree_of


def completed(script: str, *line: str) -> list[str]:
    """What bash offers for the last word of a line."""
    words = " ".join(f"'{word}'" for word in line)
    asked = (
        f'{script}\nCOMP_WORDS=({words}); COMP_CWORD={len(line) - 1}; _rearledger; printf "%s\\n" "${{COMPREPLY[@]}}"'
    )
    bash = shutil.which("bash")
    assert bash is not None
    return subprocess.run([bash, "-c", asked], capture_output=True, text=True, check=True).stdout.split()


def test_bash_completes_verbs_the_verbs_below_them_and_options(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "bash"]) == 0
    script = capsys.readouterr().out
    assert set(completed(script, "rearledger", "rear")) == {"rearing", "rear-or-sell"}
    assert completed(script, "rearledger", "lot", "sp") == ["split"]
    assert completed(script, "rearledger", "lot", "split", "P08", "5", "L3", "--in") == ["--into"]
    assert completed(script, "rearledger", "--ledger", "x.ledger", "lot", "f") == ["free", "fact"]
    assert completed(script, "rearledger", "stock", "--format", "") == ["text", "json", "csv"]
    assert completed(script, "rearledger", "zz") == []


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_every_verb_stands_in_the_script_of_each_shell(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    tree = tree_of(parser())
    assert set(tree[""]) >= {verb for verbs in SECTIONS.values() for verb in verbs}
    assert all(f'"{path}"' in script for path in tree)
    assert all(" ".join(words) in script for words in tree.values())


def test_a_shell_that_is_not_known_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "tcsh"]) == 2
    assert "choose bash, zsh or fish" in one_sentence(capsys.readouterr().err)
