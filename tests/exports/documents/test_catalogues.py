"""No message of a document is missing in any language, and the compiled catalogues are those of the sources."""

from __future__ import annotations

import io
import re
from gettext import GNUTranslations
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog, Message

from exports.documents.language import LANGUAGES, SOURCE, Language
from exports.documents.words import stage
from tests.exports.documents import catalogues

OTHERS = [language for language in LANGUAGES if language != SOURCE]
_PLACE = re.compile(r"%\([a-z0-9_]+\)s")


def texts(message: Message) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(the message and its plural, its translations)."""
    ids = message.id if isinstance(message.id, tuple) else (message.id,)
    said = message.string if isinstance(message.string, tuple) else (message.string,)
    return ids, said


def missing(catalog: Catalog, wanted: Catalog) -> list[str]:
    """Messages that are wanted and not translated, or only guessed at."""
    found = []
    for message in wanted:
        if not message.id:
            continue
        ids, _ = texts(message)
        known = catalog.get(ids[0])
        if known is None or known.fuzzy or not all(texts(known)[1]) or known.id != message.id:
            found.append(ids[0])
    return found


def test_the_template_holds_exactly_the_messages_of_the_code() -> None:
    assert catalogues.TEMPLATE.read_bytes() == catalogues.template(), (
        "run `python -m tests.exports.documents.catalogues`"
    )


@pytest.mark.parametrize("language", OTHERS)
def test_no_message_is_missing(language: str) -> None:
    wanted = catalogues.extracted()

    assert missing(catalogues.translated(language), wanted) == []
    assert len(wanted) > 250


def test_a_message_left_out_or_left_empty_is_found() -> None:
    wanted = catalogues.extracted()
    wanted.add("A sentence nobody has translated yet.")
    german = catalogues.translated("de")
    german["Total"].string = ""
    german[("egg", "eggs")].string = ("Ei", "")

    assert missing(german, wanted) == ["Total", "egg", "A sentence nobody has translated yet."]


@pytest.mark.parametrize("language", OTHERS)
def test_every_translation_has_the_values_of_its_message(language: str) -> None:
    wrong = []
    for message in catalogues.translated(language):
        ids, said = texts(message)
        for text in said if message.id else ():
            if sorted(_PLACE.findall(text)) != sorted(_PLACE.findall(ids[-1])):
                wrong.append((ids[0], text))

    assert wrong == []


def said_by(compiled: bytes) -> dict[object, str]:
    """Messages of a compiled catalogue with their rule of plurals, but not which version of the library made it."""
    read = GNUTranslations(io.BytesIO(compiled))
    messages: dict[object, str] = vars(read)["_catalog"]
    return {key: text for key, text in messages.items() if key} | {"plurals": read.info()["plural-forms"]}


@pytest.mark.parametrize("language", OTHERS)
def test_what_is_shipped_is_what_was_translated(language: str) -> None:
    shipped = (catalogues.FOLDER / f"{language}.mo").read_bytes()

    assert said_by(shipped) == said_by(catalogues.compiled(language)), (
        "run `python -m tests.exports.documents.catalogues`"
    )


def test_plurals_are_those_of_the_language() -> None:
    german, english = Language("de"), Language("en")

    assert [stage("larva", n, german) for n in (0, 1, 2)] == ["Larven", "Larve", "Larven"]
    assert [stage("ootheca", n, german) for n in (1, 3)] == ["Oothek", "Ootheken"]
    assert [stage("L1-3 nymph", n, german) for n in (1, 3)] == ["Nymphe L1-3", "Nymphen L1-3"]
    assert [stage("ootheca", n, english) for n in (1, 3)] == ["ootheca", "oothecae"]


def test_a_word_of_the_keeper_stays_as_it_is() -> None:
    assert stage("Schwarzkäfer-Stadium", 3, Language("de")) == "Schwarzkäfer-Stadium"


def test_every_stage_of_the_templates_is_known_in_german() -> None:
    import tomllib

    from ledger.stock import templates

    folder = Path(templates.__file__).parent / "templates"
    names = {
        one["name"]
        for path in folder.glob("*.toml")
        for one in tomllib.loads(path.read_text(encoding="utf-8")).get("stages", ())
    }
    german = Language("de")

    assert len(names) > 20
    untouched = {name for name in names if stage(name, 2, german) in (name, f"{name}s")}
    assert all(re.fullmatch(r"[Li][0-9]+|manca", name) for name in untouched), untouched


def test_the_font_and_its_licence_lie_in_the_package() -> None:
    fonts = catalogues.PACKAGE / "fonts"

    assert {path.name for path in fonts.iterdir()} == {
        "DejaVuSans.ttf",
        "DejaVuSans-Bold.ttf",
        "LICENSE_DEJAVU.txt",
    }
    assert "Bitstream Vera Fonts Copyright" in (fonts / "LICENSE_DEJAVU.txt").read_text(encoding="utf-8")
