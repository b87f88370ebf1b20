"""What the papers of a sale, a lot and a price list say; in PDF and text alike, and the same each time."""

from __future__ import annotations

import datetime as dt
import io
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from exports.documents import handed_papers, sale_papers
from exports.documents.animal_register import animal_register
from exports.documents.as_pdf import as_pdf
from exports.documents.as_text import WIDE, WIDTH, as_text, cells
from exports.documents.house import House, read_logo
from exports.documents.language import Language
from exports.documents.paper import Document, Table, texts_of
from exports.documents.price_list import price_list
from exports.documents.provenance_sheet import provenance_sheet
from exports.documents.receipt import receipt
from exports.documents.write import write
from ledger.books.papers import correction_notes
from ledger.books.register import register
from ledger.errors import BadInput, NotFound, Refused
from ledger.ledger import Ledger
from ledger.money import amount_text
from ledger.records.store import Store
from ledger.selling.receipt import receipt_text
from tests.exports.documents.business import CORRECTED, PARTLY, POSTED, SETTINGS, SWAPPED, UNDONE, WAITING, tell_papers
from tests.exports.documents.pages import page_count, page_size_mm, text_of

TODAY = dt.date(2025, 12, 31)
Make = Callable[[Ledger, House], Document]


def _register(ledger: Ledger, house: House) -> Document:
    book = ledger.ask(register, dt.date(2025, 1, 1), TODAY, today=ledger.today)
    return animal_register(book, house)


def _correction(ledger: Ledger, house: House) -> Document:
    return sale_papers.correction(ledger, ledger.ask(correction_notes)[0].id, house)


MAKE: dict[str, Make] = {
    **{
        f"receipt {number}": lambda ledger, house, number=number: receipt(ledger, number, house)
        for number in (POSTED, WAITING, PARTLY, UNDONE, SWAPPED, CORRECTED)
    },
    "invoice": lambda ledger, house: receipt(ledger, WAITING, house, "invoice"),
    "credit in part": lambda ledger, house: sale_papers.credit(ledger, "C-2025-0001", house),
    "credit in full": lambda ledger, house: sale_papers.credit(ledger, "C-2025-0002", house),
    "packing": lambda ledger, house: sale_papers.packing(ledger, WAITING, house),
    "correction": _correction,
    "prices": lambda ledger, house: price_list(ledger, house, TODAY),
    "prices ready": lambda ledger, house: price_list(ledger, house, TODAY, ready=True),
    "provenance": lambda ledger, house: provenance_sheet(ledger, "P03", house),
    "register": _register,
    "hold": lambda ledger, house: handed_papers.hold(ledger, "R-002", house),
    "hold taken up": lambda ledger, house: handed_papers.hold(ledger, "R-001", house),
    "loan": lambda ledger, house: handed_papers.loan(ledger, "P03", house),
    "gift": lambda ledger, house: handed_papers.gift(ledger, ledger.given()[0].entry, house),
}


def flat(text: str) -> str:
    """Spaces and line ends made one space."""
    return " ".join(text.split())


def said(document: Document) -> str:
    """The document as text in one line."""
    return flat(as_text(document))


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("name", MAKE)
def test_pdf_and_text_say_every_word_of_the_document(name: str, language: str, papers: Ledger) -> None:
    document = MAKE[name](papers, House(papers, language))
    # A word parted at a line's end is one word.
    pdf, text = text_of(as_pdf(document)).replace(" ", ""), said(document).replace(" ", "")

    wanted = [part for whole in texts_of(document) for part in whole.split()]

    assert [word for word in wanted if word not in pdf] == []
    assert [word for word in wanted if word not in text] == []
    assert "\ufffd" not in pdf
    assert len(wanted) > 30


@pytest.mark.parametrize("name", MAKE)
def test_no_english_sentence_of_ours_is_left_on_a_german_paper(name: str, papers: Ledger) -> None:
    english, german = (MAKE[name](papers, House(papers, code)) for code in ("en", "de"))
    keepers = {*SETTINGS.values(), "1 dead on arrival", "entered by mistake", "tubs were mixed up", "half of the young"}
    keepers |= {line for value in SETTINGS.values() for line in value.split("\n")}

    both = {text for text in set(texts_of(english)) & set(texts_of(german)) if re.search("[A-Za-z]{3}", text)}
    ours = {text for text in both - keepers if not re.fullmatch(r"[A-Z]{3}|[SCR]-[\d-]+|[A-Z]\d\d", text)}
    named = {"Tarn\n12 Fen Row\nMirebrook\nXA", "Tarn", "Wren", "Marlow", "Alder", "Fen School", "Ombrel Insects"}
    named |= {"sun beetle (Pachnoda marginata)", "P03, sun beetle (Pachnoda marginata)"}

    assert {text for text in ours - named if not re.search("Pachnoda|Hierodula|mites|green dot", text)} == set()


@pytest.mark.parametrize("name", MAKE)
def test_no_line_of_a_text_is_too_wide_or_ends_in_spaces(name: str, papers: Ledger, house: House) -> None:
    document = MAKE[name](papers, house)

    lines = as_text(document).split("\n")

    assert max(map(cells, lines)) <= (WIDE if document.landscape else WIDTH)
    assert [line for line in lines if line != line.rstrip()] == []


# --- the same bytes ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", MAKE)
def test_a_second_export_is_the_same_to_the_byte(name: str, papers: Ledger) -> None:
    first, second = (as_pdf(MAKE[name](papers, House(papers))) for _ in range(2))

    assert first == second
    assert b"20000101000000" in first


def test_another_process_writes_the_same_bytes(papers: Ledger) -> None:
    code = (
        "import sys; from ledger.ledger import Ledger; from exports.documents.house import House\n"
        "from exports.documents.receipt import receipt; from exports.documents.as_pdf import as_pdf\n"
        "ledger = Ledger.open(sys.argv[1], read_only=True)\n"
        f"sys.stdout.buffer.write(as_pdf(receipt(ledger, {POSTED!r}, House(ledger, 'de'))))"
    )
    root = Path(__file__).parents[3]
    made = [
        subprocess.run(
            [sys.executable, "-c", code, papers.store.target],
            capture_output=True,
            check=True,
            cwd=root,
            env={"PYTHONHASHSEED": seed, "PATH": "", "TZ": zone},
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Pacific/Auckland"))
    ]

    assert made[0] == made[1] == as_pdf(receipt(papers, POSTED, House(papers, "de")))


def test_two_sales_do_not_give_the_same_bytes(papers: Ledger, house: House) -> None:
    """The control: the comparison above can tell papers apart."""
    assert as_pdf(MAKE[f"receipt {POSTED}"](papers, house)) != as_pdf(MAKE[f"receipt {PARTLY}"](papers, house))


# --- the receipt ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [POSTED, WAITING, PARTLY, UNDONE, SWAPPED, CORRECTED])
def test_a_receipt_states_what_the_ledgers_own_receipt_states(number: str, papers: Ledger, house: House) -> None:
    own = papers.receipt(number)
    document = receipt(papers, number, house)
    pages = {"text": said(document), "pdf": text_of(as_pdf(document))}

    for text in pages.values():
        for line in own.lines:
            assert flat(f"Origin: {line.origin}") in text
            assert flat(line.provenance) in text
        for amount in (*own.charges, *own.payments, *own.credits):
            assert flat(amount.text) in text
            assert amount_text(abs(amount.amount), own.currency) in text
        for part in (own.number, own.date, own.business, *own.address, own.customer, own.terms, own.channel):
            assert flat(part) in text
        assert f"Total {amount_text(own.total, own.currency)}" in text
        assert own.ending.lower() in text.lower()
    wanted = [f"{line.what}, {line.pack}" if line.pack else line.what for line in own.lines]
    assert [text for text in what_is_sold(document) if text in wanted] == wanted


def what_is_sold(document: Document) -> list[str]:
    """The cells under 'What' of a paper's table."""
    (table,) = [block for block in document.blocks if isinstance(block, Table)]
    return [row.cells[table.wide] for row in table.rows]


def test_an_origin_the_ledger_does_not_state_is_not_on_its_receipt(papers: Ledger, house: House) -> None:
    """The control of the comparison word for word."""
    own = papers.receipt(POSTED)
    text = said(receipt(papers, POSTED, house))

    assert flat(own.lines[0].origin.replace("hatched", "bred")) not in text
    assert flat(papers.receipt(WAITING).lines[0].provenance) not in text


def test_both_texts_of_a_receipt_hold_the_same_figures(papers: Ledger, house: House) -> None:
    for number in (POSTED, WAITING, PARTLY, UNDONE, SWAPPED, CORRECTED):
        ours = re.findall(r"-?\d+\.\d\d\b", as_text(receipt(papers, number, house)))
        theirs = re.findall(r"-?\d+\.\d\d\b", receipt_text(papers.receipt(number)))
        assert [figure for figure in ours if figure != "0.00"] == [figure for figure in theirs if figure != "0.00"]


def test_a_receipt_keeps_the_origin_as_it_was_sold(papers: Ledger, house: House) -> None:
    assert "hatched in captivity, parent mated in the wild" in said(receipt(papers, CORRECTED, house))
    assert "not known" in papers.origin("P03").origin


def test_a_paper_of_a_sale_has_the_terms_as_sold(sqlite_store: Store) -> None:
    from ledger.records.commands import SetSetting

    ledger = tell_papers(sqlite_store)
    ledger.do(SetSetting("terms", "Collected animals are not taken back."))
    house = House(ledger)

    for make in (receipt, sale_papers.packing):
        text = said(make(ledger, POSTED, house))
        assert SETTINGS["terms"] in text
        assert "Collected animals" not in text
    assert "Collected animals" in said(price_list(ledger, house, TODAY))


def test_a_german_receipt_says_dates_amounts_and_origin_in_german(papers: Ledger, haus: House) -> None:
    document = receipt(papers, POSTED, haus)
    text = said(document)

    assert what_is_sold(document)[0] == (
        "10 + 1 Zugabe L3, Geschlecht unbestimmt, sun beetle (Pachnoda marginata), Posten P02, 10er-Gruppe"
    )
    for part in (
        "Quittung S-2025-0001",
        "10. April 2025",
        "verschickt am 12. April 2025",
        "Herkunft: in Haltung geschlüpft, Elterntier in der Natur verpaart; Beleg: Dokument des Lieferanten",
        "Nachlass -0,50",
        "Summe 22,50",
        "Bezahlt (Überweisung), 10. April 2025 -22,50",
        "Nichts, was hier steht, nimmt dem Käufer Rechte, die das Gesetz ihm gibt.",
        "aus unseren Aufzeichnungen übersetzt, die auf Englisch geführt werden",
    ):
        assert part in text, part


def test_an_invoice_that_cannot_say_how_to_pay_says_that(papers: Ledger) -> None:
    house = House(papers)
    house.payment_details = ""

    owed, paid = (receipt(papers, number, house, "invoice").cautions for number in (WAITING, POSTED))

    assert "How to pay is not set" in " ".join(owed)
    assert "How to pay" not in " ".join(paid)


def test_an_invoice_says_how_to_pay_only_while_something_is_owed(papers: Ledger, house: House) -> None:
    owed, paid = (said(receipt(papers, number, house, "invoice")) for number in (WAITING, POSTED))

    assert owed.count("How to pay") == 1
    assert "Account XA00 1234" in owed
    assert "Still owed 5.00" in owed
    assert "Account" not in paid
    assert "Keeper's number 12-345" in paid


def test_a_line_of_several_says_what_one_cost_on_paper_too(papers: Ledger, house: House) -> None:
    document = receipt(papers, POSTED, house)
    (table,) = [block for block in document.blocks if isinstance(block, Table)]

    assert [row.under[0] for row in table.rows if row.under] == ["1.20 each", table.rows[1].under[0]]
    assert table.rows[1].under[0].startswith("Origin: "), "one animal has its price already"


def test_a_paper_says_by_when_to_pay_what_is_owed(sqlite_store: Store) -> None:
    from ledger.records.commands import SetSetting

    ledger = tell_papers(sqlite_store)
    before = said(receipt(ledger, WAITING, House(ledger), "invoice"))
    ledger.do(SetSetting("days to pay", "14"))
    house = House(ledger)

    owed, paid = (said(receipt(ledger, number, house, "invoice")) for number in (WAITING, POSTED))

    assert "To be paid by" not in before
    assert "Still owed 5.00 To be paid by 4 May 2025" in owed
    assert "To be paid by 4 May 2025" in said(receipt(ledger, WAITING, house))
    assert "To be paid by" not in paid


def test_deposit_swap_and_credit_stand_on_their_receipts(papers: Ledger, house: House) -> None:
    partly, swapped, undone = (said(receipt(papers, n, house)) for n in (PARTLY, SWAPPED, UNDONE))

    assert "Deposit of R-001 -3.00" in partly
    assert "Credit C-2025-0001, 4 May 2025: 1 dead on arrival -1.50" in partly
    assert "Settled in animals, 1 June 2025 -7.50" in swapped
    assert "Credit C-2025-0002, 11 May 2025: entered by mistake -1.50" in undone


# --- the other papers -------------------------------------------------------------------------------------------------


def test_a_credit_in_part_names_its_line_and_one_in_full_every_line(papers: Ledger, house: House) -> None:
    part, full = (said(sale_papers.credit(papers, number, house)) for number in ("c-2025-1", "C-2025-0002"))

    assert "1 L3, sun beetle (Pachnoda marginata), lot P02 (line 1 of the sale) 1.50" in part
    assert "Corrects: sale S-2025-0003 of 2 May 2025" in part
    assert "The whole sale is taken back." not in part
    assert "The whole sale is taken back." in full
    assert "Credited 1.50" in full
    assert "Nothing written here takes away rights that the law gives the buyer." in full


def test_a_packing_note_has_no_prices_and_says_the_tub(papers: Ledger, house: House) -> None:
    document = sale_papers.packing(papers, WAITING, house)
    text = said(document)

    assert "Living animals: open at once." in text
    (table,) = [block for block in document.blocks if isinstance(block, Table)]
    assert table.rows[0].cells == ("☐", "1 L3, unsexed, sun beetle (Pachnoda marginata), lot T01", "1", "A1")
    assert not re.search(r"\d[.,]\d\d\b", text)
    assert document.cautions == ("No address of the buyer is on record; write it on the parcel by hand.",)


def test_a_packing_note_is_addressed_and_leaves_out_what_was_credited(papers: Ledger, house: House) -> None:
    posted, undone = (sale_papers.packing(papers, number, house) for number in (POSTED, UNDONE))

    assert "To: Tarn 12 Fen Row Mirebrook XA" in said(posted)
    assert posted.cautions == ()
    assert "Living animals" not in said(undone)
    assert "there is nothing to pack" in " ".join(undone.cautions)


def test_a_correction_note_says_what_was_stated_and_what_is_so_now(papers: Ledger, house: House) -> None:
    text = said(_correction(papers, house))
    stated, now = text.index("Stated then:"), text.index("By our records now:")

    assert "line 1 of sale S-2025-0006 of 5 June 2025" in text
    assert "hatched in captivity, parent mated in the wild" in text[stated:now]
    assert "not known" in text[now:]
    assert "Why: tubs were mixed up" in text
    assert text.endswith(
        "Nothing written here takes away rights that the law gives the buyer. By our records; not a certificate."
    )


def test_a_price_list_has_the_prices_of_its_buyer(papers: Ledger, house: House) -> None:
    retail, trade = (said(price_list(papers, house, TODAY, buyer)) for buyer in ("retail", "trade"))

    assert re.search(r"Adult +female single 4\.50", retail)
    assert "L3 group of 10 12.00" in retail
    assert "Adult single 4.00" in retail
    assert "3.00" not in retail
    assert "Adult single 3.00" in trade
    assert "For the trade." in trade
    assert "Adult single 4.00" not in trade
    assert not re.search(r"\b[PTH]0\d\b", retail)


def test_a_price_list_of_what_is_ready_states_its_origins(papers: Ledger, house: House) -> None:
    text = said(price_list(papers, house, TODAY, ready=True))

    assert "captive bred, generation not known" in text
    assert text.endswith("By our records; not a certificate.")


def test_a_provenance_sheet_shows_the_whole_chain_and_every_gap(papers: Ledger, house: House) -> None:
    sheet = papers.origin("P03")
    text = said(provenance_sheet(papers, "P03", house))

    assert [row.code for row in sheet.rows] == ["P03", "P02", "P01"]
    for row in sheet.rows:
        for part in (row.origin, row.evidence, row.came, row.whence, *row.parents, *row.reasons, *row.gaps):
            assert flat(part) in text
    assert "P01, 2 steps back" in text
    assert text.endswith("By our records; not a certificate.")


def test_permits_are_noted_as_entered_and_those_that_ended_are_not(sqlite_target: str) -> None:
    from ledger.selling.commands import EndFlag, FlagSpecies
    from ledger.stock.commands import AddLot, AddSpecies, Arrival

    on = dt.date(2025, 6, 2)
    with Ledger.open(sqlite_target, clock=lambda: dt.datetime(2025, 6, 3, 10)) as ledger:
        ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
        ledger.do(AddLot("P01", "PACH", on, (Arrival("hatched", "L3", unsexed=2),)))
        ledger.do(FlagSpecies("PACH", "permit", on, "keeping only", "XA-17", dt.date(2026, 3, 31)))
        ended = ledger.do(FlagSpecies("PACH", "permit", on, "", "XA-16"))
        ledger.do(EndFlag(int(str(ended.refs["flag"])), dt.date(2025, 6, 3)))
        house = House(ledger)
        sheet = said(provenance_sheet(ledger, "P01", house))
        book = ledger.ask(register, on, dt.date(2025, 6, 3), today=ledger.today)
        kept = said(animal_register(book, house))

    for text in (sheet, kept):
        assert "Permit, as entered: " in text
        assert "XA-17, keeping only, until 31 March 2026" in text
        assert "XA-16" not in text


def test_no_paper_says_that_anything_is_legal(papers: Ledger) -> None:
    for make in MAKE.values():
        text = said(make(papers, House(papers))).lower()
        assert not re.search(r"\blegal\b|\bpermitted\b|\ballowed\b|complies|guarantee|certified", text)


@pytest.mark.parametrize(
    ("make", "kind"),
    [
        (lambda ledger, house: receipt(ledger, "S-2031-0001", house), NotFound),
        (lambda ledger, house: sale_papers.credit(ledger, "C-9", house), NotFound),
        (lambda ledger, house: sale_papers.packing(ledger, "", house), NotFound),
        (lambda ledger, house: sale_papers.correction(ledger, 99, house), NotFound),
        (lambda ledger, house: provenance_sheet(ledger, "ZZ", house), NotFound),
        (lambda ledger, house: price_list(ledger, house, TODAY, "friend"), BadInput),
        (lambda ledger, house: price_list(ledger, house, dt.date(2024, 1, 1)), Refused),
        (lambda ledger, house: price_list(ledger, house, dt.date(2025, 1, 1), ready=True), Refused),
        (lambda ledger, house: House(ledger, "xx"), BadInput),
    ],
)
def test_bad_input_is_refused_in_one_sentence(make: Make, kind: type[Refused], papers: Ledger, house: House) -> None:
    with pytest.raises(kind) as refused:
        make(papers, house)

    sentence = str(refused.value)
    assert sentence.endswith(".")
    assert "\n" not in sentence
    assert len(sentence) < 300


# --- files, pages and the letterhead ----------------------------------------------------------------------------------


def test_a_paper_is_a_new_file_of_its_owner_alone_and_writes_over_nothing(
    papers: Ledger, house: House, tmp_path: Path
) -> None:
    document = receipt(papers, POSTED, house)

    first, second = (write(document, tmp_path) for _ in range(2))
    text = write(document, tmp_path, "text")

    assert [one.path.name for one in (first, second, text)] == [
        "receipt-s-2025-0001-r1.pdf",
        "receipt-s-2025-0001-r2.pdf",
        "receipt-s-2025-0001-r1.txt",
    ]
    assert first.path.read_bytes() == second.path.read_bytes()
    assert {path.stat().st_mode & 0o777 for path in tmp_path.iterdir()} == {0o600}
    with pytest.raises(BadInput):
        write(document, tmp_path / "nowhere")
    assert len(list(tmp_path.iterdir())) == 3


def test_pages_are_those_of_the_country(papers: Ledger) -> None:
    for locale, size in (("en_US", (215.9, 279.4)), ("en_NZ", (210, 297)), ("de_DE", (210, 297)), ("", (210, 297))):
        house = House(papers)
        house.language = Language("en", locale)
        assert page_size_mm(as_pdf(receipt(papers, POSTED, house))) == pytest.approx(size, abs=0.1)


def test_a_long_register_says_its_headings_and_page_numbers_on_every_page(papers: Ledger, house: House) -> None:
    pdf = as_pdf(_register(papers, house))

    assert page_count(pdf) >= 2
    for number in range(page_count(pdf)):
        assert f"Page {number + 1} of {page_count(pdf)}" in text_of(pdf)


def test_the_language_of_the_paper_may_be_set_and_is_apart_from_the_locale(sqlite_target: str) -> None:
    from ledger.records.commands import SetSetting

    with Ledger.open(sqlite_target) as ledger:
        ledger.do(SetSetting("document language", "de"))
        ledger.do(SetSetting("locale", "en_NZ"))
        by_setting, asked = House(ledger), House(ledger, "en")

    assert str(by_setting.language.locale) == "de_DE"
    assert str(asked.language.locale) == "en_NZ"


def test_a_paper_without_a_business_name_is_warned_of(sqlite_target: str, papers: Ledger) -> None:
    with Ledger.open(sqlite_target) as empty:
        house = House(empty)

    assert "does not say who sells" in " ".join(receipt(papers, POSTED, house).cautions)
    assert receipt(papers, POSTED, House(papers)).cautions == ()


def logo(path: Path, size: tuple[int, int], kind: str = "PNG") -> Path:
    """A red picture in a file."""
    out = io.BytesIO()
    Image.new("RGB", size, (200, 0, 0)).save(out, kind)
    path.write_bytes(out.getvalue())
    return path


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_the_logo_stands_in_the_letterhead_in_its_own_proportion(
    kind: str, papers: Ledger, house: House, tmp_path: Path
) -> None:
    from dataclasses import replace

    import numpy as np
    import pypdfium2

    document = receipt(papers, POSTED, house)
    picture = read_logo(logo(tmp_path / "logo", (400, 100), kind))
    pdf = as_pdf(replace(document, head=replace(document.head, logo=picture)))

    page = pypdfium2.PdfDocument(pdf)
    seen = page[0].render(scale=2).to_numpy()
    page.close()
    red = (seen[..., 2] > 150) & (seen[..., 1] < 90)
    rows, columns = np.flatnonzero(red.any(axis=1)), np.flatnonzero(red.any(axis=0))
    height, width = rows[-1] - rows[0] + 1, columns[-1] - columns[0] + 1

    assert width / height == pytest.approx(4, rel=0.03)
    assert rows[-1] < seen.shape[0] / 4
    assert flat("Tallow Lane Loft") in text_of(pdf)


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (None, "cannot be read"),
        (b"", "is empty"),
        (b"GIF89a not a picture", "is no PNG or JPEG"),
        (b"\x89PNG\r\n\x1a\n" + b"\x00" * 40, "is no PNG or JPEG"),
        (b"\0" * 4_000_001, "larger than 4 MB"),
    ],
)
def test_a_logo_that_cannot_be_used_is_refused_in_one_sentence(
    content: bytes | None, reason: str, tmp_path: Path
) -> None:
    path = tmp_path / "logo.png"
    if content is not None:
        path.write_bytes(content)

    with pytest.raises(BadInput, match=reason) as refused:
        read_logo(path)
    assert str(refused.value).endswith("or none.")


def test_a_picture_of_monstrous_size_is_refused_unread(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="larger than 16 million points"):
        read_logo(logo(tmp_path / "logo.png", (10_000, 9_500)))
