"""What can be brought in: for each kind of record its columns, the headings they go by, and what is needed."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ledger.errors import NotFound
from ledger.text import quoted


@dataclass(frozen=True, slots=True)
class Field:
    """One column of a kind."""

    name: str
    type: str
    """text, block, code, whole, counts, amount, date, yes, paid, share, word."""
    heading: str
    """What the template calls it."""
    also: tuple[str, ...] = ()
    """Other headings it is known by, in small letters."""
    needed: bool = False
    help: str = ""
    choices: tuple[str, ...] = ()
    """Of a word."""
    loose: tuple[str, ...] = ()
    """Headings that mean it where no other column does: 'Box' is a tub beside a lot, and the lot without one."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of record."""

    name: str
    title: str
    """Name of its sheet in the template."""
    fields: tuple[Field, ...]
    counted: str = ""
    """Field whose sum stands in the report."""
    money: str = ""
    """The same, in money."""
    carried: tuple[str, ...] = ()
    """Fields that people write once for several rows; the first is needed, and without it none is carried down."""

    def field(self, name: str) -> Field:
        """The field of that name.

        Raises:
            NotFound: there is none.
        """
        for one in self.fields:
            if one.name == name:
                return one
        # As the program itself shows it: 'Started on' is the column started.
        wanted = plain(name)
        for one in self.fields:
            if wanted in (plain(one.heading), one.name.casefold()):
                return one
        names = ", ".join(one.name for one in self.fields)
        raise NotFound(f"There is no column {quoted(name)} for {self.name}; choose one of: {names}.", "map")


SEXES = ("male", "female", "hermaphrodite", "unsexed")
WAYS = ("opening", "bought", "bred")
"""How animals of a sheet came: already here when the ledger began, bought on that day, or bred here."""
ORIGINS = ("WC", "WR", "CH", "CF", "CB", "CBU", "UNK")

_NOTES = ("notes", "remarks", "remark", "comment", "notiz", "notizen", "bemerkung", "anmerkung")
_BOXES = ("box", "container", "dose", "behälter", "kiste")
_ANIMALS = ("what", "animal", "animals", "name", "kind", "was", "tier", "tiere")
_HOW_MANY = ("anzahl", "menge", "stück", "stk")
_NUMBERS = ("no", "nr", "zahl")
_PAID_FOR = ("paid for all", "bezahlt", "gezahlt", "kaufpreis", "preis")
_SIGNS = ("£", "€", "$", "eur", "gbp", "usd")
_BILLS = ("invoice", "invoice no", "ref", "rechnungsnummer", "rechnung", "beleg")

STOCK = Kind(
    "stock",
    "Opening stock",
    (
        Field(
            "lot", "code", "Lot", ("lot code", "code", "los"), True, "Your code of the lot; several rows may share it",
            loose=_BOXES,
        ),
        Field(
            "species", "text", "Species", ("species code", "art", "tierart"), True,
            "Code of the species in the ledger, or its name", loose=_ANIMALS,
        ),
        Field("stage", "text", "Stage", ("life stage", "stadium", "size", "größe"), True, "As the species has it: L3"),
        Field(
            "count", "counts", "Count", ("number", "quantity", "qty", "animals", "how many", *_HOW_MANY), True,
            "How many; 1.2.3 for males.females.unsexed; about 40 for an estimate", loose=_NUMBERS,
        ),
        Field(
            "started", "date", "Started on", ("start", "hatched", "hatched on", "got", "since", "seit", "geschlüpft"),
            True, "Day it began",
        ),
        Field(
            "counted", "date", "Counted on", ("date", "as of", "on", "datum", "gezählt am"), False,
            "Day these animals are taken in",
        ),
        Field("tub", "code", "Tub", _BOXES, False, "Label of the tub"),
        Field("origin", "word", "Origin", ("origin code", "herkunft"), False, "Code of the origin", ORIGINS),
        Field("generation", "whole", "Generation", ("gen",), False, "A number: 2 for F2"),
        Field(
            "supplier", "text", "Supplier", ("from", "bought from", "source", "von", "lieferant", "züchter"), False,
            "Who they came from",
        ),
        Field(
            "price", "amount", "Price of the lot", ("paid", "price", "cost", "price of all", *_PAID_FOR), False,
            "What was paid for the animals of this row, if they were bought", loose=_SIGNS,
        ),
        Field(
            "how", "word", "How", ("how they came", "came", "wie"), False,
            "Opening: here when the ledger begins; empty is that", WAYS,
        ),
        Field("country", "text", "Country", ("land",), False, "Two letters"),
        Field("locality", "text", "Locality", ("location", "fundort"), False, ""),
        Field("documents", "text", "Documents", ("papers", "belege"), False, "Documents that say where they come from"),
        Field("place", "text", "Place", ("room", "shelf", "raum", "regal"), False, "Where it stands"),
        Field("purpose", "word", "Purpose", (), False, "", ("sale", "breeding", "quarantine")),
        Field("note", "block", "Note", _NOTES, False, ""),
    ),
    counted="count",
    money="price",
)  # fmt: skip
SALES = Kind(
    "sales",
    "Past sales",
    (
        Field("date", "date", "Date", ("sold on", "sale date", "day", "when", "datum", "wann", "verkauft am"), True,
              "Day of the sale"),
        Field("lot", "code", "Lot", ("lot code", "los", "from box", "from lot"), True, "Lot the animals came from",
              loose=_BOXES),
        Field("count", "counts", "Count", ("number", "quantity", "qty", "animals", "how many", *_HOW_MANY), True,
              "How many", loose=_NUMBERS),
        Field("price", "amount", "Price", ("amount", "total price", "line total", "total", "preis", "betrag", "summe"),
              False, "For the whole row", loose=_SIGNS),
        Field("each", "amount", "Price each", ("unit price", "each", "einzelpreis", "stückpreis"), False,
              "For one animal, in place of Price"),
        Field("stage", "text", "Stage", ("life stage", "stadium", "size", "größe"), False, ""),
        Field("sex", "word", "Sex", ("geschlecht",), False, "", SEXES),
        Field("tub", "code", "Tub", _BOXES, False, ""),
        Field("discount", "amount", "Discount", ("rabatt",), False, ""),
        Field("customer", "text", "Customer", ("buyer", "sold to", "name", "who", "to", "kunde", "käufer", "wer", "an"),
              False, ""),
        Field(
            "channel", "word", "Channel", ("how", "sold by"), False, "",
            ("collection", "post", "fair", "trade", "other"),
        ),
        Field("postage", "amount", "Postage", ("shipping", "porto", "versand"), False,
              "Charged to the buyer; once for a sale"),
        Field("paid", "paid", "Paid", ("bezahlt",), False, "yes, no, or how: cash, card, transfer; empty is yes"),
        Field("method", "text", "Paid by", ("payment", "payment method", "method", "zahlung", "zahlungsart"), False,
              "cash, card, transfer"),
        Field("reference", "text", "Own number", ("sale number", "sale no", *_BILLS), False,
              "Rows with the same number are one sale"),
        Field("free because", "text", "Free because", (), False, "Why a row is free of charge"),
        Field("note", "block", "Note", _NOTES, False, ""),
    ),
    counted="count",
    money="price",
    carried=("date", "customer", "channel", "method", "reference"),
)  # fmt: skip
COSTS = Kind(
    "costs",
    "Costs",
    (
        Field("date", "date", "Date", ("bought on", "day", "purchase date", "when", "datum", "wann", "gekauft am"),
              True, "Day it was bought"),
        Field("category", "text", "Category", ("type", "what for", "kategorie", "wofür"), True,
              "feed, heat, tubs and the like"),
        Field("amount", "amount", "Amount", ("gross", "total", "price", "cost", "betrag", "brutto", "preis"), True,
              "With tax", loose=_SIGNS),
        Field("tax", "amount", "Tax", ("vat", "sales tax", "mwst", "ust"), False, "Part of the amount"),
        Field("supplier", "text", "Supplier", ("from", "shop", "bought from", "vendor", "lieferant", "händler"), False,
              ""),
        Field("text", "text", "What", ("item", "description", "article", "was", "artikel", "beschreibung"), False, ""),
        Field(
            "kind", "word", "Kind", (), False, "Of a category that is new",
            ("used up", "lasting", "overhead", "selling"),
        ),
        Field("lots", "text", "Lots", ("lot",), False, "Lots it was for; empty: all animals"),
        Field("species", "text", "Species", (), False, "Species it was for"),
        Field("from", "date", "Used from", (), False, "First day it is used up on"),
        Field("to", "date", "Used to", ("used until",), False, "Last day it is used up on"),
        Field("life", "whole", "Life in days", ("life days",), False, "How long a lasting thing lasts"),
        Field("share", "share", "Business part", ("share",), False, "Such as 60%"),
        Field("quantity", "text", "Quantity", ("qty", *_HOW_MANY), False, ""),
        Field("paid", "yes", "Paid", ("bezahlt",), False, "yes or no; empty is yes"),
        Field("reference", "text", "Own number", ("bill no", "bill number", *_BILLS), False, ""),
        Field("note", "block", "Note", _NOTES, False, ""),
    ),
    money="amount",
)  # fmt: skip
CUSTOMERS = Kind(
    "customers",
    "Customers",
    (
        Field("name", "text", "Name", ("customer", "buyer", "kunde", "käufer", "nick"), True, "", loose=("who", "wer")),
        Field(
            "contact",
            "block",
            "Contact",
            ("address", "email", "e-mail", "phone", "mail", "adresse", "telefon"),
            False,
            "Only what a sale needs",
        ),
        Field("kind", "word", "Kind", ("type",), False, "", ("retail", "trade")),
        Field("note", "block", "Note", _NOTES, False, ""),
    ),
)
PRICES = Kind(
    "prices",
    "Prices",
    (
        Field(
            "species", "text", "Species", ("species code", "art", "tierart"), True,
            "Code of the species in the ledger, or its name", loose=_ANIMALS,
        ),
        Field("stage", "text", "Stage", ("life stage", "stadium", "size", "größe"), True, ""),
        Field("price", "amount", "Price", ("amount", "preis"), True, "Of the pack", loose=_SIGNS),
        Field("from", "date", "From", ("valid from", "date", "since", "ab", "datum", "seit"), True,
              "Day it counts from"),
        Field("sex", "word", "Sex", ("geschlecht",), False, "", ("any", "male", "female", "unsexed")),
        Field("pack", "text", "Pack", (), False, "single, pair 1.1, group of 10"),
        Field("animals", "whole", "Animals", ("pack size", "number"), False, "In the pack"),
        Field("buyer", "word", "Buyer", (), False, "", ("retail", "trade")),
    ),
)  # fmt: skip
KINDS = {kind.name: kind for kind in (STOCK, SALES, COSTS, CUSTOMERS, PRICES)}


def kind_of(name: str) -> Kind:
    """The kind of that name.

    Raises:
        NotFound: there is none.
    """
    if name not in KINDS:
        raise NotFound(f"{quoted(name)} cannot be brought in; choose one of: {', '.join(KINDS)}.", "kind")
    return KINDS[name]


def plain(heading: str) -> str:
    """A heading in small letters without its trimmings: 'Sold on:' is 'sold on'."""
    return re.sub(r"[\s_]+", " ", re.sub(r"[*:?]|\(.*?\)", " ", heading)).strip().casefold()
