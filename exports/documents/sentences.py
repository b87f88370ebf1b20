"""The sentences about origin as the ledger writes them, each a pattern that `recorded` knows it by.

Only wording: whoever changes a sentence in `ledger/origin/` changes it here; a test plays every one of them.
"""

from __future__ import annotations

from exports.documents.language import mark

LABELS = (
    mark("captive bred, F%(n)s by our records"),
    mark("captive bred, F%(n)s or later by our records"),
    mark("captive bred, F%(n)s, stated, not derived"),
    mark("captive bred, F%(n)s or later, stated, not derived"),
    mark("wild-collected"),
    mark("wild-collected; stated, not derived"),
    mark("reared from wild-collected egg or young"),
    mark("reared from wild-collected egg or young; stated, not derived"),
    mark("hatched in captivity, parent mated in the wild"),
    mark("hatched in captivity, parent mated in the wild; stated, not derived"),
    mark("farmed, as stated by the supplier"),
    mark("farmed, as stated by the supplier; stated, not derived"),
    mark("captive bred, generation not known"),
    mark("captive bred, generation not known; stated, not derived"),
    mark("mixed group that includes wild-origin animals"),
    mark("not known"),
)
GRADES = (
    mark("own records"),
    mark("supplier's document"),
    mark("supplier's or keeper's statement"),
    mark("none"),
    mark("lowered by an unexplained count, worth no more than: own records"),
    mark("lowered by an unexplained count, worth no more than: supplier's document"),
    mark("lowered by an unexplained count, worth no more than: supplier's or keeper's statement"),
    mark("lowered by an unexplained count, worth no more than: none"),
)
HEADLINES = (
    mark("no gaps in our records"),
    mark("1 gap in our records"),
    mark("%(n)s gaps in our records"),
)
ENDING = mark("By our records; not a certificate.")

# Of a line of a sale: what is stated, and the provenance in one sentence.
ON_PAPER = (
    mark("%(origin)s; evidence: %(grade)s"),
    mark("%(origin)s; country of origin %(country)s; evidence: %(grade)s"),
    mark("%(lot)s: %(origin)s; %(headline)s. By our records; not a certificate."),
    mark("%(lot)s: %(origin)s, going back to %(lots)s; %(headline)s. By our records; not a certificate."),
    mark(
        "%(lot)s: %(origin)s, going back to %(lots)s and %(n)s more lots; %(headline)s. By our records; not a "
        "certificate."
    ),
    mark("%(lot)s: sold as %(origin)s. By our records; not a certificate."),
)
# How a lot came, and who its parents may be.
CAME = (
    mark("here at the start"),
    mark("bought"),
    mark("swapped in"),
    mark("lent to us"),
    mark("collected"),
    mark("harvested"),
    mark("came"),
)
ARRIVALS = (
    mark("%(how)s %(day)s"),
    mark("%(how)s on a day not on record"),
    mark("laid %(day)s"),
    mark("laid %(day)s to %(day2)s"),
    mark("hatched %(day)s"),
    mark("hatched %(day)s to %(day2)s"),
    mark("no date on record"),
)
PARENTS = (
    mark("Possible mother: %(animal)s, %(why)s"),
    mark("Possible father: %(animal)s, %(why)s"),
    mark("Split off %(lot)s"),
    mark("Split off %(lot)s on %(day)s"),
    mark("Merged from %(lot)s"),
    mark("Merged from %(lot)s on %(day)s"),
    mark("Harvested from %(lot)s"),
    mark("Harvested from %(lot)s on %(day)s"),
)
WHY = (
    mark("on record as the mother"),
    mark("named as the father, no pairing on record"),
    mark("lives in the same colony"),
    mark("may have mated with %(animal)s before she came"),
    mark("with %(animal)s from %(day)s to %(day2)s"),
    mark("with %(animal)s from %(day)s to %(day2)s, mating seen"),
    mark("with %(animal)s from %(day)s on"),
    mark("with %(animal)s from %(day)s on, mating seen"),
    mark("with %(animal)s from a day not on record to %(day)s"),
    mark("with %(animal)s from a day not on record to %(day)s, mating seen"),
    mark("with %(animal)s from a day not on record on"),
    mark("with %(animal)s from a day not on record on, mating seen"),
)
NOBODY = mark("a male not in the records")
TUB = mark(" tub ")
GAPS = (
    mark("is named among its own ancestors, so its records contradict themselves"),
    mark("no arrival on record"),
    mark("no arrival date on record"),
    mark("no origin stated on arrival"),
    mark("origin not known on arrival"),
    mark("no mother on record"),
    mark("no laying or pairing date on record"),
    mark("no hatch date on record"),
    mark("%(animal)s came only after the young of %(lot)s were laid, so she cannot be the mother"),
    mark("whom %(animal)s mated with before she came is not on record"),
    mark("a male with %(animal)s is not in the records"),
    mark("no father on record with %(animal)s"),
    mark("%(n)s more than recorded without an explanation"),
    mark("%(n)s more than recorded on %(day)s without an explanation"),
    mark("counts do not add up by %(n)s"),
)
REASONS = (
    mark("%(lot)s: nothing on record says where it came from."),
    mark("%(lot)s is named among its own ancestors, so its records contradict themselves; its origin is not known."),
    mark("%(lot)s: animals came into it in several ways, so together: %(origin)s."),
    mark("%(lot)s: raises its own young inside the colony, so: %(origin)s."),
    mark("%(lot)s: no mother is on record, so the parents are not known."),
    mark("%(lot)s: so the origin is not known."),
    mark("%(lot)s: so the young count as hatched in captivity, not as captive bred."),
    mark("%(lot)s: %(animal)s came only after the young of %(lot2)s were laid, so she cannot be the mother."),
    mark("%(lot)s: a male that is not in the records was with %(animal)s."),
    mark("%(lot)s: no male is on record with %(animal)s in the time that counts."),
    mark("%(lot)s: a mating of %(animal)s here was seen."),
    mark("%(lot)s: she was here before the records began, captive bred as the keeper states."),
    mark("%(lot)s: no mating of %(animal)s here was seen."),
    mark(
        "%(lot)s: possible mother %(animal)s came here %(whence)s, %(stage)s, %(when)s, and is not recorded as a "
        "virgin; %(young)s and %(sperm)s, so she may have mated before she came."
    ),
    mark(
        "%(lot)s: mated in captivity; a possible father is not known; so the young are captive bred, generation "
        "not known."
    ),
    mark(
        "%(lot)s: mated in captivity; the generation of a possible parent is not known: %(animals)s; so the young are "
        "captive bred, generation not known."
    ),
    mark(
        "%(lot)s: mated in captivity; the lowest generation among the possible parents is %(n)s, of %(animals)s; so "
        "the young are F%(n2)s."
    ),
    mark(
        "%(lot)s: mated in captivity; the lowest generation among the possible parents is %(n)s, of %(animals)s; so "
        "the young are F%(n2)s or later."
    ),
    mark("%(lot)s: %(arrived)s; nothing was stated of its origin."),
    mark("%(lot)s: %(arrived)s, stated by the keeper: %(origin)s."),
    mark("%(lot)s: %(arrived)s, stated by the keeper: %(origin)s (%(doubt)s)."),
    mark("%(lot)s: %(arrived)s, stated by %(name)s: %(origin)s."),
    mark("%(lot)s: %(arrived)s, stated by %(name)s: %(origin)s (%(doubt)s)."),
    mark("%(lot)s: collected: %(origin)s."),
    mark("%(lot)s: collected %(day)s: %(origin)s."),
    mark("%(lot)s: split off %(lots)s, so: %(origin)s."),
    mark("%(lot)s: merged from %(lots)s, so: %(origin)s."),
    mark("%(lot)s: harvested when reared or at a stage not on record, so some may be founders of %(codes)s."),
    mark("%(lot)s: left%(on)s at “%(origin)s”."),
    mark("%(lot)s: left%(on)s at “%(origin)s”: %(name)s."),
    mark("%(lot)s: lowered%(on)s at “%(origin)s”."),
    mark("%(lot)s: lowered%(on)s at “%(origin)s”: %(name)s."),
    mark("%(lot)s: raised%(on)s to “%(origin)s” on the document %(name)s."),
    mark(
        "%(lot)s: “%(origin)s”, recorded%(on)s, is no lowering of what the records now give and names no document, so "
        "it is not used."
    ),
    mark("%(lot)s: %(n)s more than recorded%(on)s; the evidence is lowered until explained."),
    mark(
        "%(lot)s: %(n)s more than recorded%(on)s, beyond the %(n2)s a miscount may explain; the evidence is lowered "
        "until explained."
    ),
)
PIECES = {
    "whence": (mark("of unknown origin"), mark("from the wild"), mark("captive")),
    "stage": (
        mark("recorded as already mated"),
        mark("reared"),
        mark("perhaps reared (stage not on record)"),
    ),
    "when": (mark("on %(day)s"), mark("on a day not on record")),
    "young": (mark("the young date from %(day)s"), mark("the laying date is not on record")),
    "sperm": (
        mark("sperm is kept for a time that is not known"),
        mark("sperm may be kept for %(n)s days"),
    ),
    "doubt": (
        mark("captive bred was stated without a generation"),
        mark("F%(n)s was stated without a document that shows it"),
    ),
    "on": ("", mark(" on %(day)s")),
    "how": CAME,
    "arrived": ("%(how)s", "%(how)s %(day)s"),
    "why": WHY,
    "origin": LABELS,
    "grade": GRADES,
    "headline": HEADLINES,
    "with_origin": ("%(animal)s (%(origin)s)",),
}
"""Values that are themselves said in a few ways, by the name they have in a pattern."""

WHENCE = (
    mark("Country"),
    mark("Locality"),
    mark("Supplier"),
    mark("Documents"),
    mark("Source letter on the document"),
    mark("Line"),
)
