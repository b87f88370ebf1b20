"""What a sheet says in the keeper's own words and the ledger does not know yet: asked once for each word, not each row.

Species by their scientific or common name, categories of spending that are new, and how animals came that a price was
paid for. Every word matched is said in the look; what may be two things is asked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from exports.bring_in.kinds import COSTS, STOCK, WAYS, Kind
from exports.bring_in.naming import Settled, name_species, some_questions
from exports.bring_in.records import Said
from exports.bring_in.report import Question, some_rows
from ledger.errors import NotFound
from ledger.money import Currency
from ledger.money import said as in_money
from ledger.stock.catalogue import SpeciesRow
from ledger.text import count_words, quoted

KINDS_OF_CATEGORY = ("used up", "lasting", "overhead", "selling")
_MOST_SHOWN = 12
_ANIMALS = ("animals", "animal", "livestock", "tiere")
"""Categories under which people write animals they bought."""
_BOUGHT = (
    "Animals that were bought come in with their lots, and what was paid is a cost of animals from there: in a sheet "
    "of stock, How: bought, and the price of the lot. Leave them out of the costs then, or they count twice."
)


@dataclass(frozen=True, slots=True)
class Answers:
    """What the keeper said of words that stand in sheets."""

    columns: Mapping[str, str] = field(default_factory=dict)
    """Field by heading."""
    species: Mapping[str, str] = field(default_factory=dict)
    """Code by what a species is called in the sheet."""
    categories: Mapping[str, str] = field(default_factory=dict)
    """Kind, or a category that is known, by a new category."""


def still_good(before: Answers, species: Sequence[SpeciesRow], categories: Mapping[str, str]) -> Answers:
    """Earlier answers without those that name what the ledger does not have, as in another copy of it."""
    codes = {row.code.casefold() for row in species}
    return Answers(
        before.columns,
        {name: code for name, code in before.species.items() if code.casefold() in codes},
        {
            name: answer
            for name, answer in before.categories.items()
            if answer in KINDS_OF_CATEGORY or answer in categories
        },
    )


def settle(
    kind: Kind,
    rows: Sequence[Said],
    *,
    species: Sequence[SpeciesRow],
    categories: Mapping[str, str],
    answers: Answers,
    how: str,
    currency: Currency,
) -> Settled:
    """Put the ledger's own words where rows use others; what is not known is asked.

    Args:
        kind: what the rows hold.
        rows: rows that are new to the ledger; their values are changed.
        species: those of the ledger.
        categories: kind by category of spending, as the ledger has them.
        answers: what the keeper said.
        how: how animals came that a price was paid for; empty: nothing was said.
        currency: of the ledger.

    Raises:
        NotFound: an answer names no species, no kind and no category.
    """
    parts: list[Settled] = []
    if any(one.name == "species" for one in kind.fields):
        parts.append(name_species(rows, species, answers.species, several=kind is COSTS))
    if kind is COSTS:
        parts.append(_categories(rows, categories, answers.categories))
    if kind is STOCK:
        parts.append(_how(rows, how, currency))
    return Settled(
        tuple(one for part in parts for one in part.questions), tuple(one for part in parts for one in part.read_as)
    )


# --- categories -------------------------------------------------------------------------------------------------------


def _categories(rows: Sequence[Said], known: Mapping[str, str], said: Mapping[str, str]) -> Settled:
    answered = {}
    for name, answer in said.items():
        answer = answer.strip().lower()
        if answer not in KINDS_OF_CATEGORY and answer not in known:
            raise NotFound(
                f"{quoted(answer)} is no kind of spending and no category of yours; choose one of: "
                f"{', '.join(KINDS_OF_CATEGORY)}.",
                "kind",
            )
        answered[name.strip().lower()] = answer
    new: dict[str, list[Said]] = {}
    for one in rows:
        category = one.text("category").lower()
        if category and category not in known:
            new.setdefault(category, []).append(one)
    questions: list[Question] = []
    read_as: list[str] = []
    for category, those in new.items():
        if category in _ANIMALS and any(one.text("kind") for one in those):
            read_as.append(_BOUGHT)
        answer = answered.get(category, "")
        if answer in known:
            for one in those:
                one.values["category"] = answer
            read_as.append(f"{quoted(category)} is {answer}, {count_words(len(those), 'row', 'rows')}.")
            continue
        silent = [one for one in those if not one.text("kind") and not one.number("life")]
        kinds = {one.text("kind") for one in those if one.text("kind")}
        if not silent:
            continue
        kind = answer or (next(iter(kinds)) if len(kinds) == 1 else "")
        if not kind:
            questions.append(_of_which_kind(category, silent, known, hinted=not questions))
            continue
        for one in silent:
            one.values["kind"] = kind
        why = "" if answer else ", as other rows of it say"
        read_as.append(f"The new category {category} is {kind}{why}, {count_words(len(silent), 'row', 'rows')}.")
    return Settled(some_questions(questions, "categories"), tuple(read_as))


def _of_which_kind(category: str, those: Sequence[Said], known: Mapping[str, str], *, hinted: bool) -> Question:
    rows = f"{count_words(len(those), 'row', 'rows')} {some_rows([one.row for one in those])}"
    hint = f"Or name a category of yours that it is: {', '.join(sorted(known)[:_MOST_SHOWN])}." if hinted else ""
    if category in _ANIMALS:
        hint = _BOUGHT
    return Question(
        f"{rows}: the category {category} is new; of which kind is it?",
        f'--kind "{category}=KIND"',
        KINDS_OF_CATEGORY,
        hint,
        ("category", category),
    )


# --- how animals came -------------------------------------------------------------------------------------------------


def _how(rows: Sequence[Said], how: str, currency: Currency) -> Settled:
    if how and how not in WAYS:
        raise NotFound(f"{quoted(how)} is no way animals came; choose one of: {', '.join(WAYS)}.", "how")
    silent = [one for one in rows if one.number("price") is not None and not one.text("how")]
    if silent and not how:
        return Settled(
            (
                Question(
                    f"{count_words(len(silent), 'row', 'rows')} {some_rows([one.row for one in silent])} with what was "
                    "paid for the lot, and without a word how the animals came: were they bought on the day they came?",
                    "--how bought or opening",
                    ("bought", "opening"),
                    "Bought: the price is a cost of animals on that day. Opening: they were here when the ledger "
                    "begins, and what was paid before is left out.",
                    ("how", ""),
                ),
            )
        )
    left_out = 0
    for one in silent:
        one.values["how"] = how
        if how != "bought":
            del one.values["price"]
            left_out += 1
    lines = []
    for way, means in _MEANS.items():
        those = [one for one in rows if (one.text("how") or "opening") == way]
        if those:
            price = sum(one.number("price") or 0 for one in those)
            paid = f", {in_money(price, currency)} together" if way == "bought" and price else ""
            lines.append(f"{count_words(len(those), 'row', 'rows')} {means}{paid}.")
    if left_out:
        lines.append(f"What was paid is left out of {count_words(left_out, 'row', 'rows')}, as answered.")
    from_others = sum(1 for one in rows if one.text("supplier") and (one.text("how") or "opening") == "opening")
    if from_others:
        lines.append(
            f"Of the opening rows, {from_others} {'names' if from_others == 1 else 'name'} who the animals came from; "
            "if they were bought since the ledger begins, write bought in a column How, with the price of the lot."
        )
    return Settled((), tuple(lines))


_MEANS = {
    "opening": "opening: the animals were here when the ledger begins, at a cost that is not known",
    "bought": "bought: they came on that day, and what was paid is a cost of animals",
    "bred": "bred: they hatched or were born here on that day",
}
"""What each way means, as the look says it."""
