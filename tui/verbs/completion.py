"""A verb that writes what a shell needs to complete the words of `rearledger`: its verbs and their options.

The script is made from the parsers themselves, so that no verb can be missing from it. It asks no ledger: Tab must not
wait, and a name of a customer has no place in a history of the shell.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator

from ledger.errors import BadInput
from ledger.text import quoted
from tui.verbs import answer
from tui.verbs.parser import FORMATS, Parser

Tree = dict[str, tuple[str, ...]]
"""What may stand after a verb, by the words that lead to it with a slash before each."""

BASH = """\
_rearledger() {{
    local at="" word words=""
    for word in "${{COMP_WORDS[@]:1:COMP_CWORD-1}}"; do
        case "$at/$word" in
            {paths}) at="$at/$word" ;;
        esac
    done
    if [[ "${{COMP_WORDS[COMP_CWORD-1]}}" == --format ]]; then
        words="{formats}"
    else
        case "$at" in
{lines}
        esac
    fi
    COMPREPLY=($(compgen -W "$words" -- "${{COMP_WORDS[COMP_CWORD]}}"))
}}
complete -o default -F _rearledger rearledger
"""
ZSH = """\
#compdef rearledger
_rearledger() {{
    local at="" word list=""
    for word in "${{(@)words[2,CURRENT-1]}}"; do
        case "$at/$word" in
            {paths}) at="$at/$word" ;;
        esac
    done
    if [[ "${{words[CURRENT-1]}}" == --format ]]; then
        list="{formats}"
    else
        case "$at" in
{lines}
        esac
    fi
    compadd -- ${{=list}} || _files
}}
compdef _rearledger rearledger
"""
FISH = """\
function __rearledger_words
    set -l at ""
    set -l typed (commandline -opc)
    for word in $typed[2..-1]
        switch "$at/$word"
            case {paths}
                set at "$at/$word"
        end
    end
    if test "$typed[-1]" = --format
        string split " " "{formats}"
        return
    end
    switch "$at"
{lines}
    end
end
complete -c rearledger -a "(__rearledger_words)"
"""


def add(top: Parser) -> None:
    """Add the verb."""
    parser = top.verb(
        "completion",
        "Write a script that lets your shell complete verbs and options.",
        lambda args: completion(args, top),
        epilog='bash: eval "$(rearledger completion bash)" in ~/.bashrc\n'
        'zsh: eval "$(rearledger completion zsh)" in ~/.zshrc, after compinit\n'
        "fish: rearledger completion fish > ~/.config/fish/completions/rearledger.fish",
    )
    parser.add_argument("shell", metavar="|".join(SHELLS), help="which shell")


def completion(args: argparse.Namespace, top: Parser) -> int:
    """Write the script."""
    if args.shell not in SHELLS:
        raise BadInput(f"{quoted(args.shell)} is no shell known here; choose bash, zsh or fish.", field="shell")
    answer.write(SHELLS[args.shell](tree_of(top)))
    return 0


def tree_of(top: Parser) -> Tree:
    """Verbs and options that may follow each verb."""
    return dict(_below(top, ""))


def _below(parser: Parser, path: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    options = [name for name in parser._option_string_actions if name.startswith("--")]
    yield path, (*parser.verbs, *options)
    for name, below in parser.verbs.items():
        yield from _below(below, f"{path}/{name}")


def _as_bash(tree: Tree, script: str = BASH, name: str = "words") -> str:
    lines = (f'            "{path}") {name}="{" ".join(words)}" ;;' for path, words in tree.items())
    return script.format(paths="|".join(filter(None, tree)), formats=" ".join(FORMATS), lines="\n".join(lines))


def _as_zsh(tree: Tree) -> str:
    return _as_bash(tree, ZSH, "list")


def _as_fish(tree: Tree) -> str:
    lines = (f'        case "{path}"\n            string split " " "{" ".join(words)}"' for path, words in tree.items())
    return FISH.format(paths=" ".join(filter(None, tree)), formats=" ".join(FORMATS), lines="\n".join(lines))


SHELLS: dict[str, Callable[[Tree], str]] = {"bash": _as_bash, "zsh": _as_zsh, "fish": _as_fish}
