"""Figures of a book, for the tests of explanations: everything of it that can be asked about."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.costs.explain.figure import Brood, Carried, Figure, Gone, Reared
from ledger.costs.explain.replay import Journal
from ledger.costs.result import Kind, Shared
from tests.ledger.costs.book import Book
from tests.ledger.costs.random_book import LAST_DAY, random_book


def journal_of(book: Book, until: int, **method: object) -> Journal:
    return Journal(book.journal(), book.costs, book.lots, until, **method)  # type: ignore[arg-type]


def random_journal(seed: int, until: int = LAST_DAY) -> Journal:
    written = random_book(seed)
    return journal_of(written.book, until, **written.method)


def takes_back(journal: Journal) -> bool:
    """Whether a movement of a closed year is taken back."""
    return any(event.reverses is not None for event in journal.events)


def figures(shared: Shared) -> Iterator[Figure]:
    """Everything that can be explained."""
    here = [row for row in shared.closing if row.kind is Kind.ON_HAND]
    for lot in sorted({row.lot for row in here if row.lot is not None}):
        yield Carried(frozenset({lot}))
    for row in here:
        if row.lot is not None:
            yield Carried(frozenset({row.lot}), row.stage)
    for row in shared.closing:
        if row.kind is Kind.BROOD and row.lot is not None:
            yield Brood(row.lot)
    for lot in sorted({row.lot for row in shared.reached}):
        figure = Reared(frozenset({lot}))
        if figure.number(shared) > 0:
            yield figure
    for lot in sorted({row.lot for row in shared.postings if row.kind is Kind.WRITTEN_OFF and row.lot is not None}):
        yield Gone(frozenset({Kind.WRITTEN_OFF}), frozenset({lot}))
    for row in shared.postings:
        if row.kind is Kind.LEFT and row.lot is not None and row.event is not None:
            yield Gone(frozenset({Kind.LEFT}), frozenset({row.lot}), frozenset({row.event}))
    yield Gone(frozenset({Kind.NO_ANIMALS}))
