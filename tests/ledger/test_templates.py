"""The species templates that ship: complete, sourced, and cautious."""

import re
from typing import Any

import pytest

from ledger.errors import NotFound
from ledger.stock.templates import SpeciesTemplate, StageTemplate, matching, read_template, template, templates

GUESSES = ("planning guess", "common practice, no source")
# Publications the figures come from, by a word that names each.
PUBLICATIONS = (
    "Papiliorama",
    "kindernetz.de",
    "idtools.org",
    "Scarabs newsletter",
    "Kim et al.",
    "Heidari Parsa et al. 2023",
    "open mealworm wiki",
    "Artis",
    "Montréal Insectarium",
    "Wikipedia",
    "Greyvenstein et al. 2022",
    "Abasa and Mathenge 1971",
    "guwsmedical.info",
    "Brum and Araujo 2007",
    "giant African land snail care pages",
    "enviroliteracy.org",
    "small-scale gecko breeding articles",
    "guppy care pages",
    "tarantula rearing pages",
    "López-Sepulcre et al. 2013",
)
GROUPS = {
    "group-beetle",
    "group-darkling-beetle",
    "group-stick-insect",
    "group-mantid",
    "group-isopod",
    "group-tarantula",
    "group-land-snail",
    "group-egg-laying-reptile",
    "group-livebearing-fish",
}
SPECIES = {
    "pachnoda-marginata",
    "trypoxylus-dichotomus",
    "large-dynastine",
    "zophobas-atratus",
    "tenebrio-molitor",
    "extatosoma-tiaratum",
    "hierodula-membranacea",
    "sphodromantis-gastrica",
    "sphodromantis-viridis",
    "porcellio-dilatatus",
    "porcellio-scaber",
    "lissachatina-fulica",
    "eublepharis-macularius",
    "poecilia-reticulata",
}

every_template = pytest.mark.parametrize("species", templates(), ids=lambda species: species.key)
every_stage = pytest.mark.parametrize(
    ("species", "stage"),
    [(species, stage) for species in templates() for stage in species.stages],
    ids=lambda part: part.key if isinstance(part, SpeciesTemplate) else part.name,
)


def test_every_group_and_species_ships() -> None:
    assert {species.key for species in templates()} == GROUPS | SPECIES


def test_templates_come_in_order_of_their_keys() -> None:
    keys = [species.key for species in templates()]

    assert keys == sorted(keys)


@pytest.mark.parametrize(
    ("key", "stages", "reared"),
    [
        ("pachnoda-marginata", "egg, L1, L2, L3, cocoon, soft adult, adult, dried specimen", "adult"),
        ("extatosoma-tiaratum", "egg, L1-3 nymph, L4-6 nymph, adult", "adult"),
        ("hierodula-membranacea", "ootheca, L1-3 nymph, L4-7 nymph, soft adult, adult", "adult"),
        ("porcellio-scaber", "colony, manca, juvenile, adult", "adult"),
        ("eublepharis-macularius", "egg, hatchling, juvenile, adult", "juvenile"),
    ],
)
def test_stages_stand_in_order_of_life(key: str, stages: str, reared: str) -> None:
    species = template(key)

    assert ", ".join(stage.name for stage in species.stages) == stages
    assert species.reared == reared
    assert species.stage(reared).saleable


WEEK, MONTH = 7, 30


@pytest.mark.parametrize(
    ("key", "stage", "low", "high"),
    [
        # Papiliorama care page; kindernetz.de: eggs 3-4 weeks, cocoon 5-8 weeks.
        ("pachnoda-marginata", "egg", 3 * WEEK, 4 * WEEK),
        ("pachnoda-marginata", "cocoon", 5 * WEEK, 8 * WEEK),
        # Artis; Montréal Insectarium: eggs of mated females 4-6 months.
        ("extatosoma-tiaratum", "egg", 4 * MONTH, 6 * MONTH),
        # Greyvenstein et al. 2022, African Entomology 30: about 10 weeks.
        ("sphodromantis-gastrica", "ootheca", 10 * WEEK, 10 * WEEK),
        # Abasa and Mathenge 1971, East African Agricultural and Forestry Journal 37:177.
        ("sphodromantis-viridis", "ootheca", 20, 25),
        ("sphodromantis-viridis", "L4", 16, 19),
        # Kim et al. (oak.go.kr 16119).
        ("zophobas-atratus", "egg", 8, 9),
        ("zophobas-atratus", "pupa", 13, 15),
        # Open mealworm wiki.
        ("tenebrio-molitor", "egg", 4, 19),
        ("tenebrio-molitor", "pupa", 6, 24),
        ("tenebrio-molitor", "soft adult", 2, 7),
        # Scarabs newsletter, University of Nebraska State Museum.
        ("large-dynastine", "L1", 30, 30),
        ("large-dynastine", "L2", 45, 45),
        ("large-dynastine", "pupa", 60, 60),
        # idtools.org; a keeper's blog, 2021.
        ("trypoxylus-dichotomus", "egg", 2 * WEEK, 2 * WEEK),
        ("trypoxylus-dichotomus", "prepupa", 5, 6),
        # Giant African land snail care pages.
        ("lissachatina-fulica", "clutch", 5, 21),
        # Tarantula rearing pages: 1-4 months.
        ("group-tarantula", "sac", 1 * MONTH, 4 * MONTH),
    ],
)
def test_published_days_are_kept(key: str, stage: str, low: int, high: int) -> None:
    found = template(key).stage(stage)

    assert (found.days_low, found.days_high) == (low, high)


def test_published_survival_to_the_adult_is_kept() -> None:
    # Greyvenstein et al. 2022, African Entomology 30: 41.8 % of Sphodromantis gastrica reach adulthood.
    assert template("sphodromantis-gastrica").stage("nymph").planning_survival == 418_000


def test_the_guess_for_a_related_mantid_comes_out_at_the_published_survival() -> None:
    survival = 1.0
    for stage in template("hierodula-membranacea").stages:
        survival *= (stage.planning_survival or 1_000_000) / 1_000_000

    assert survival == pytest.approx(0.418, abs=0.005)


def test_whole_lives_add_up_to_the_published_totals() -> None:
    # Larvae of Pachnoda spin their cocoon after about 3 months (Papiliorama care page).
    grubs = [template("pachnoda-marginata").stage(name) for name in ("L1", "L2", "L3")]
    assert sum(s.days_low or 0 for s in grubs) < 3 * MONTH < sum(s.days_high or 0 for s in grubs)
    # Egg to adult in Tenebrio 111.3 days at 27 °C, 203.7 at 20 (Heidari Parsa et al. 2023, Arthropods 12:16).
    young = [template("tenebrio-molitor").stage(name) for name in ("egg", "larva", "pupa")]
    assert sum(s.days_low or 0 for s in young) == pytest.approx(111.3, abs=1)
    assert sum(s.days_high or 0 for s in young) == pytest.approx(203.7, abs=1)


@pytest.mark.parametrize(
    ("key", "days"),
    [
        # Woodlice about a year (guwsmedical.info); land snails up to two years (care pages); leopard geckos
        # 36 weeks (enviroliteracy.org); guppies 10 months (López-Sepulcre et al. 2013).
        ("porcellio-scaber", 365),
        ("lissachatina-fulica", 730),
        ("eublepharis-macularius", 36 * WEEK),
        ("poecilia-reticulata", 310),
    ],
)
def test_published_sperm_storage_is_kept(key: str, days: int) -> None:
    assert template(key).stored_sperm_days == days


@every_stage
def test_every_figure_of_a_stage_says_where_it_comes_from(species: SpeciesTemplate, stage: StageTemplate) -> None:
    figures = {
        "days": stage.days_low,
        "hardening days": stage.hardening_days,
        "planning survival": stage.planning_survival,
        "care weight": None if stage.care_weight == 1000 else stage.care_weight,
    }

    assert {name for name, _ in stage.sources} == {name for name, value in figures.items() if value is not None}
    assert all(said(source) for _, source in stage.sources), stage.source


@every_template
def test_every_figure_of_a_species_says_where_it_comes_from(species: SpeciesTemplate) -> None:
    figures = {
        "stored sperm days": species.stored_sperm_days,
        "breeding life days": species.breeding_life_days,
        "without mating": species.parthenogenetic or None,
    }

    assert {name for name, _ in species.sources} == {name for name, value in figures.items() if value is not None}
    assert all(said(source) for _, source in species.sources), species.sources


def said(source: str) -> bool:
    return any(word in source for word in (*GUESSES, *PUBLICATIONS))


@pytest.mark.parametrize("source", ["", "a friend", "S18", "well known"])
def test_a_source_that_names_nothing_would_be_noticed(source: str) -> None:
    assert not said(source)


@every_stage
def test_stages_hold_together(species: SpeciesTemplate, stage: StageTemplate) -> None:
    assert re.fullmatch(r"[A-Za-z0-9]+(?:[ -][A-Za-z0-9]+)*", stage.name)
    assert len(stage.name) <= 20
    assert (stage.days_low is None) == (stage.days_high is None)
    assert (stage.days_low or 0) <= (stage.days_high or 0)
    assert len(stage.source) <= 1000
    if stage.name in ("soft adult", "prepupa", "cocoon"):
        assert stage.do_not_post
        assert not stage.saleable
    if stage.unit == "object":
        assert stage.planning_survival is None, "an object holds an unknown number of young"
    if stage.planning_survival is not None:
        assert 0 < stage.planning_survival < 1_000_000


@every_template
def test_templates_hold_together(species: SpeciesTemplate) -> None:
    assert re.fullmatch(r"[a-z]+(?:-[a-z]+)*", species.key)
    assert species.key.startswith("group-") == (species.scientific == "")
    assert species.stage(species.reared).unit == "animal"
    assert "unsexed" in species.sexes
    assert any(stage.saleable for stage in species.stages)
    assert len({stage.name.lower() for stage in species.stages}) == len(species.stages)


@every_template
def test_every_caution_defers_to_local_rules_and_promises_nothing(species: SpeciesTemplate) -> None:
    assert species.caution.endswith("Check your local rules before keeping, breeding, selling or sending.")
    assert not re.search(r"\b(is|are) (legal|allowed|permitted)\b", species.caution)
    assert len(species.caution) <= 1000


@pytest.mark.parametrize("key", ["group-land-snail", "lissachatina-fulica"])
def test_snails_are_to_be_checked_first(key: str) -> None:
    assert template(key).caution.startswith("Check first:")


@every_template
def test_the_trades_words_are_used(species: SpeciesTemplate) -> None:
    words = " ".join(
        [
            *(source for _, source in species.sources),
            *species.notes,
            species.caution,
            *(f"{s.name} {s.source}" for s in species.stages),
        ]
    )

    assert not re.search(r"\b(teneral|cohort|batch)\b", words, re.IGNORECASE)


def test_hermaphrodites_are_neither_male_nor_female() -> None:
    assert template("lissachatina-fulica").sexes == ("hermaphrodite", "unsexed")


def test_only_the_stick_insect_breeds_without_mating() -> None:
    assert [species.key for species in templates() if species.parthenogenetic] == ["extatosoma-tiaratum"]


def test_a_template_is_found_in_any_case() -> None:
    assert template(" Pachnoda-Marginata ").scientific == "Pachnoda marginata"


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ("pachnoda margnata", "pachnoda-marginata"),
        ("Porcellio scabr", "porcellio-scaber"),
        ("leopard", "eublepharis-macularius"),
        ("group-stick", "group-stick-insect"),
    ],
)
def test_a_key_nearly_right_is_answered_with_what_was_meant(asked: str, near: str) -> None:
    with pytest.raises(NotFound, match=f"did you mean .*{near}") as refusal:
        template(asked)

    assert near in refusal.value.facts["near"]  # type: ignore[operator]


@pytest.mark.parametrize("asked", ["xyzzy", "", "../templates/group-beetle", "group-beetle.toml", "\x1b[31m"])
def test_other_keys_are_not_found(asked: str) -> None:
    with pytest.raises(NotFound):
        template(asked)


def test_a_stage_that_is_not_there_is_answered_with_those_that_are() -> None:
    with pytest.raises(NotFound, match="colony, manca, juvenile, adult"):
        template("porcellio-scaber").stage("larva")


WHOLE = """
scientific = "Species exempli"
common = "example"
group = "beetle"
reared = "adult"
sexes = ["male", "female", "unsexed"]
caution = "Check."
[[stages]]
name = "larva"
[[stages]]
name = "adult"
saleable = true
"""


def test_a_small_template_is_read_with_nothing_made_up() -> None:
    species = read_template("example", WHOLE)

    larva = species.stages[0]
    assert (larva.days_low, larva.hardening_days, larva.planning_survival) == (None, None, None)
    assert (larva.unit, larva.saleable, larva.do_not_post, larva.care_weight) == (
        "animal",
        False,
        False,
        1000,
    )
    assert (species.stored_sperm_days, species.breeding_life_days, species.parthenogenetic) == (
        None,
        None,
        False,
    )


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (("[[stages]]", "days = [1, 2]\n[[stages]]"), "unknown words days"),
        (('name = "larva"', 'name = "larva"\ndays = [1, 2]'), "days and days_source go together"),
        (('name = "larva"', 'name = "larva"\ndays_source = "planning guess"'), "go together"),
        (
            ('name = "larva"', 'name = "larva"\ndays = [3, 2]\ndays_source = "planning guess"'),
            "from 3 back to 2",
        ),
        (
            ('name = "larva"', 'name = "larva"\ndays = [1.5, 2]\ndays_source = "planning guess"'),
            "whole number",
        ),
        (
            ('name = "larva"', 'name = "larva"\ndays = [true, 2]\ndays_source = "planning guess"'),
            "whole number",
        ),
        (('name = "larva"', 'name = "larva"\ndays = [1, 2]\ndays_source = ""'), "tidy text"),
        (('name = "larva"', 'name = "adult"'), "share a name"),
        (('name = "larva"', 'name = "larva "'), "tidy text"),
        (('name = "larva"', 'name = "larva"\nunit = "tray"'), "unit 'tray'"),
        (('name = "larva"', 'name = "larva"\nsaleable = 1'), "neither true nor false"),
        (('name = "larva"', 'name = "larva"\nunit = "specimen"'), "takes no care"),
        (
            ('name = "larva"', 'name = "larva"\nplanning_survival = 1000001\nplanning_survival_source = "x"'),
            "from 0 to 1000000",
        ),
        (('reared = "adult"', 'reared = "imago"'), "reared stage 'imago'"),
        (('sexes = ["male", "female", "unsexed"]', 'sexes = ["worker"]'), "sexes"),
        (('sexes = ["male", "female", "unsexed"]', "sexes = []"), "sexes"),
        (('caution = "Check."', ""), "caution"),
        (('caution = "Check."', 'caution = "Check."\nwithout_mating = true'), "go together"),
        (('caution = "Check."', 'caution = "Check."\nprice = 3'), "unknown words price"),
        (('caution = "Check."', "caution ="), "template example"),
    ],
)
def test_a_faulty_template_says_what_is_wrong(change: tuple[str, str], reason: str) -> None:
    faulty: Any = WHOLE.replace(*change, 1)

    with pytest.raises(ValueError, match=reason):
        read_template("example", faulty)


@pytest.mark.parametrize(
    ("words", "key"),
    [("dairy", "group-isopod"), ("laevis", "group-isopod"), ("sun beetle", "pachnoda-marginata"), ("gecko", "")],
)
def test_templates_are_found_by_common_words(words: str, key: str) -> None:
    found = [one.key for one in matching(words)]

    assert found == [key] if key else "eublepharis-macularius" in found
    assert [one.key for one in matching("isopod")] == ["group-isopod", "porcellio-dilatatus", "porcellio-scaber"]
    assert matching("zebra") == ()
    assert matching("") == templates()
