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
    """text, block, code, whole, counts, amount, date, yes, share, word."""
    heading: str
    """What the template calls it."""
    also: tuple[str, ...] = ()
    """Other headings it is known by, in small letters."""
    needed: bool = False
    help: str = ""
    choices: tuple[str, ...] = ()
    """Of a word."""


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

    def field(self, name: str) -> Field:
        """The field of that name.

        Raises:
            NotFound: there is none.
        """
        for one in self.fields:
            if one.name == name:
                return one
        names = ", ".join(one.name for one in self.fields)
        raise NotFound(f"There is no column {quoted(name)} for {self.name}; choose one of: {names}.", "map")


SEXES = ("male", "female", "hermaphrodite", "unsexed")
ORIGINS = ("WC", "WR", "CH", "CF", "CB", "CBU", "UNK")

STOCK = Kind(
    "stock",
    "Opening stock",
    (
        Field("lot", "code", "Lot", ("lot code", "code"), True, "Your code of the lot; several rows may share it"),
        Field("species", "text", "Species", ("species code",), True, "Code of the species in the ledger"),
        Field("stage", "text", "Stage", ("life stage",), True, "As the species has it, such as L3"),
        Field(
            "count", "counts", "Count", ("number", "quantity", "qty", "animals", "how many"), True,
            "How many; 1.2.3 for males.females.unsexed; about 40 for an estimate",
        ),
        Field("started", "date", "Started on", ("start", "hatched", "hatched on"), True, "Day it began"),
        Field("counted", "date", "Counted on", ("date", "as of", "on"), False, "Day these animals are taken in"),
        Field("tub", "code", "Tub", ("container", "box"), False, "Label of the tub"),
        Field("origin", "word", "Origin", ("origin code",), False, "Code of the origin", ORIGINS),
        Field("generation", "whole", "Generation", ("gen",), False, "A number: 2 for F2"),
        Field("supplier", "text", "Supplier", ("from", "bought from", "source"), False, "Who they came from"),
        Field("country", "text", "Country", (), False, "Two letters"),
        Field("locality", "text", "Locality", ("location",), False, ""),
        Field("documents", "text", "Documents", ("papers",), False, "Documents that say where they come from"),
        Field("place", "text", "Place", ("room", "shelf"), False, "Where it stands"),
        Field("purpose", "word", "Purpose", (), False, "", ("sale", "breeding", "quarantine")),
        Field("note", "block", "Note", ("notes", "remarks", "comment"), False, ""),
    ),
    counted="count",
)  # fmt: skip
SALES = Kind(
    "sales",
    "Past sales",
    (
        Field("date", "date", "Date", ("sold on", "sale date", "day"), True, "Day of the sale"),
        Field("lot", "code", "Lot", ("lot code",), True, "Lot the animals came from"),
        Field("count", "counts", "Count", ("number", "quantity", "qty", "animals", "how many"), True, "How many"),
        Field("price", "amount", "Price", ("amount", "total price", "line total"), False, "For the whole row"),
        Field("each", "amount", "Price each", ("unit price", "each"), False, "For one animal, in place of Price"),
        Field("stage", "text", "Stage", ("life stage",), False, ""),
        Field("sex", "word", "Sex", (), False, "", SEXES),
        Field("tub", "code", "Tub", ("container", "box"), False, ""),
        Field("discount", "amount", "Discount", (), False, ""),
        Field("customer", "text", "Customer", ("buyer", "sold to", "name"), False, ""),
        Field(
            "channel", "word", "Channel", ("how", "sold by"), False, "",
            ("collection", "post", "fair", "trade", "other"),
        ),
        Field("postage", "amount", "Postage", ("shipping",), False, "Charged to the buyer; once for a sale"),
        Field("paid", "yes", "Paid", (), False, "yes or no; empty is yes"),
        Field("method", "text", "Paid by", ("payment", "payment method", "method"), False, "cash, card, transfer"),
        Field("reference", "text", "Own number", ("sale number", "sale no", "invoice", "invoice no", "ref"), False,
              "Rows with the same number are one sale"),
        Field("free because", "text", "Free because", (), False, "Why a row is free of charge"),
        Field("note", "block", "Note", ("notes", "remarks", "comment"), False, ""),
    ),
    counted="count",
    money="price",
)  # fmt: skip
COSTS = Kind(
    "costs",
    "Costs",
    (
        Field("date", "date", "Date", ("bought on", "day", "purchase date"), True, "Day it was bought"),
        Field("category", "text", "Category", ("type", "what for"), True, "feed, heat, tubs and the like"),
        Field("amount", "amount", "Amount", ("gross", "total", "price", "cost"), True, "With tax"),
        Field("tax", "amount", "Tax", ("vat", "sales tax"), False, "Part of the amount"),
        Field("supplier", "text", "Supplier", ("from", "shop", "bought from", "vendor"), False, ""),
        Field("text", "text", "What", ("item", "description", "article"), False, ""),
        Field(
            "kind", "word", "Kind", (), False, "Of a category that is new",
            ("used up", "lasting", "overhead", "selling"),
        ),
        Field("lots", "text", "Lots", ("lot",), False, "Lots it was for; empty: all animals"),
        Field("species", "text", "Species", (), False, "Species it was for"),
        Field("from", "date", "Used from", (), False, "First day it is used up on"),
        Field("to", "date", "Used to", ("used until",), False, "Last day it is used up on"),
        Field("life", "whole", "Life in days", ("life days",), False, "How long a lasting thing lasts"),
        Field("share", "share", "Business share", ("share",), False, "Such as 60%"),
        Field("quantity", "text", "Quantity", ("qty",), False, ""),
        Field("paid", "yes", "Paid", (), False, "yes or no; empty is yes"),
        Field("reference", "text", "Own number", ("bill no", "bill number", "invoice", "invoice no", "ref"), False, ""),
        Field("note", "block", "Note", ("notes", "remarks", "comment"), False, ""),
    ),
    money="amount",
)  # fmt: skip
CUSTOMERS = Kind(
    "customers",
    "Customers",
    (
        Field("name", "text", "Name", ("customer", "buyer"), True, ""),
        Field("contact", "block", "Contact", ("address", "email", "e-mail", "phone"), False, "Only what a sale needs"),
        Field("kind", "word", "Kind", ("type",), False, "", ("retail", "trade")),
        Field("note", "block", "Note", ("notes", "remarks", "comment"), False, ""),
    ),
)
PRICES = Kind(
    "prices",
    "Prices",
    (
        Field("species", "text", "Species", ("species code",), True, "Code of the species in the ledger"),
        Field("stage", "text", "Stage", ("life stage",), True, ""),
        Field("price", "amount", "Price", ("amount",), True, "Of the pack"),
        Field("from", "date", "From", ("valid from", "date", "since"), True, "Day it counts from"),
        Field("sex", "word", "Sex", (), False, "", ("any", "male", "female", "unsexed")),
        Field("pack", "text", "Pack", (), False, "single, pair 1.1, group of 10"),
        Field("animals", "whole", "Animals", ("pack size", "number"), False, "In the pack"),
        Field("buyer", "word", "Buyer", (), False, "", ("retail", "trade")),
    ),
    money="price",
)
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
