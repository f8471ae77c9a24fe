"""What the catalogue says: complete, told apart, with the right signs and the cautions first."""

import re

import pytest

from diagnostics import knowledge_files
from diagnostics.inference.causes import Cause, Rule
from diagnostics.inference.feature_words import Feature, OnsetPlace, Remark, TravelWord
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.inference.work_methods import WorkMethod

CAUSES = list(knowledge_files.current().causes.values())
RULES = {rule.slug: rule for rule in knowledge_files.current().rules}
METHODS = list(knowledge_files.work_methods().values())

# The slugs that walk-down case files use for their truths.
CASE_FILE_CAUSES = {
    "belt_camber": "belt_section",
    "bend_pulley_build_up": "bend_pulley",
    "bend_pulley_skewed": "bend_pulley",
    "carrying_idlers_skewed": "carrying_idler_structure",
    "crooked_splice": "belt_splice",
    "head_lagging_worn_one_side": "head_pulley",
    "head_pulley_skewed": "head_pulley",
    "off_centre_loading": "loading",
    "one_sided_belt_damage": "belt_section",
    "return_idler_skewed": "return_idler",
    "self_aligning_idler_stuck": "return_idler",
    "structure_bowed": "carrying_idler_structure",
    "tail_pulley_build_up": "tail_pulley",
    "tail_pulley_skewed": "tail_pulley",
    "take_up_carriage_skewed": "take_up",
    "take_up_pulley_build_up": "take_up",
}
# The trade table: rule -> what is seen, and the causes named for it. Common practice, no source.
TABLE: dict[str, tuple[Feature, str, set[str]]] = {
    "row-tail-arrives-off": (
        Feature.ONSET,
        OnsetPlace.ARRIVES_OFF,
        {"return_idler_skewed", "return_idler_dropped", "tail_pulley_skewed"},
    ),
    "row-before-skirts": (
        Feature.ONSET,
        OnsetPlace.BEFORE_SKIRTS_END,
        {"tail_pulley_skewed", "tail_pulley_build_up"},
    ),
    "row-past-skirts": (Feature.ONSET, OnsetPlace.PAST_SKIRTS, {"off_centre_loading"}),
    "row-carrying": (
        Feature.ONSET,
        OnsetPlace.CARRYING,
        {"structure_bowed", "carrying_idlers_skewed", "self_aligning_idler_stuck_carrying"},
    ),
    "row-past-head": (
        Feature.ONSET,
        OnsetPlace.PAST_HEAD,
        {
            "head_lagging_worn_one_side",
            "head_lagging_lost",
            "head_pulley_bearing_failing",
            "head_pulley_skewed",
        },
    ),
    "row-return": (
        Feature.ONSET,
        OnsetPlace.RETURN,
        {"return_idler_skewed", "return_idler_dropped", "return_structure_damaged"},
    ),
    "row-take-up-in": (
        Feature.ONSET,
        OnsetPlace.AT_TAKE_UP,
        {
            "bend_pulley_build_up",
            "bend_pulley_bearing_failing",
            "bend_pulley_skewed",
            "take_up_carriage_skewed",
        },
    ),
    "row-take-up-out": (
        Feature.ONSET,
        OnsetPlace.PAST_TAKE_UP,
        {
            "take_up_pulley_worn_one_side",
            "take_up_carriage_skewed",
            "take_up_carriage_binding",
            "take_up_guides_bent",
        },
    ),
    "row-last-return": (
        Feature.ONSET,
        OnsetPlace.LAST_RETURN,
        {"return_idler_skewed", "return_structure_damaged"},
    ),
    "row-same-place": (Feature.PATTERN, "fixed", {"carrying_idlers_skewed", "tail_pulley_skewed"}),
    "row-with-splice": (Feature.TRAVEL, TravelWord.WITH_SPLICE, {"crooked_splice"}),
    "row-belt-not-splice": (
        Feature.TRAVEL,
        TravelWord.NOT_WITH_SPLICE,
        {"one_sided_belt_damage", "belt_tear_across", "belt_camber"},
    ),
    "row-new-belt-camber": (Feature.REMARKS, Remark.NEW_BELT, {"belt_camber"}),
}
NO_SOURCE = ("common practice, no source", "engineering judgement", "from memory")
NAMED_SOURCES = (
    "TM-A",
    "TM-B",
    "CEMA",
    "RMA",
    "doi",
    "belt mechanics",
    "maker's",
    "maker's drawing",
    "site's own",
    "supplier",
)


def ratios(rule: Rule) -> dict[str, float]:
    return {one.cause: one.ratio for one in rule.speaks}


def by_slug(slug: str) -> Cause:
    return knowledge_files.current().causes[slug]


def method(slug: str) -> WorkMethod:
    return knowledge_files.work_methods()[slug]


def test_at_least_forty_causes() -> None:
    assert len(CAUSES) >= 40


@pytest.mark.parametrize("cause", CAUSES, ids=lambda cause: cause.slug)
def test_every_cause_is_complete(cause: Cause) -> None:
    assert len(cause.shows) > 60
    assert len(cause.correct) > 40
    assert len(cause.confirm.what) > 40
    assert cause.confirm.minutes > 0
    assert cause.look_alikes
    assert cause.tolerance
    assert cause.cautions
    assert any(word in cause.source for word in (*NO_SOURCE, *NAMED_SOURCES))
    assert any(word in cause.tolerance for word in (*NO_SOURCE, *NAMED_SOURCES))


def test_every_confirming_check_belongs_to_one_cause() -> None:
    checks = {cause.confirm.what.casefold() for cause in CAUSES}

    assert len(checks) == len(CAUSES)


@pytest.mark.parametrize(("slug", "cause_class"), CASE_FILE_CAUSES.items())
def test_causes_of_case_files_keep_slug_and_class(slug: str, cause_class: str) -> None:
    assert by_slug(slug).cause_class == cause_class


def test_a_frozen_self_aligning_idler_has_an_entry_for_each_run() -> None:
    upper = by_slug("self_aligning_idler_stuck_carrying")
    lower = by_slug("self_aligning_idler_stuck")

    assert upper.cause_class is CauseClass.CARRYING
    assert lower.cause_class is CauseClass.RETURN_IDLER
    assert lower.slug in {one.cause for one in upper.look_alikes}
    assert upper.slug in {one.cause for one in lower.look_alikes}


@pytest.mark.parametrize(("slug", "row"), TABLE.items())
def test_every_row_of_the_trade_table_is_a_rule(
    slug: str, row: tuple[Feature, str, set[str]]
) -> None:
    feature, word, causes = row
    rule = RULES[slug]

    assert word in rule.when[feature]
    assert {cause for cause in causes if ratios(rule).get(cause, 0) >= 2} == causes


def test_every_rule_called_a_row_stands_in_the_table() -> None:
    assert {slug for slug in RULES if slug.startswith("row-")} == set(TABLE)


def test_the_same_place_always_speaks_against_the_belt() -> None:
    # US Army TM 5-3895-374-24-2, pages 620-621: all portions off in one stretch.
    spoken = ratios(RULES["row-same-place"])

    for cause in CAUSES:
        if cause.cause_class in {CauseClass.BELT_SPLICE, CauseClass.BELT_SECTION}:
            assert spoken[cause.slug] < 1


def test_erratic_belts_are_told_by_their_load() -> None:
    # US Army TM 5-3895-374-24-2, pages 620-621: erratic empty, erratic loaded.
    empty = ratios(RULES["erratic-empty"])
    loaded = ratios(RULES["erratic-loaded"])

    assert max(empty, key=lambda slug: empty[slug]) == "belt_too_stiff"
    assert by_slug(max(loaded, key=lambda slug: loaded[slug])).cause_class is CauseClass.LOADING
    assert empty["off_centre_loading"] < 1


def test_every_place_and_every_remark_has_a_rule() -> None:
    asked = {word for rule in RULES.values() for words in rule.when.values() for word in words}

    assert set(OnsetPlace) <= asked
    assert set(Remark) <= asked


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.slug)
def test_every_rule_names_its_source_and_stays_moderate(rule: Rule) -> None:
    assert any(word in rule.source for word in (*NO_SOURCE, *NAMED_SOURCES))
    assert all(0.1 <= one.ratio <= 10 for one in rule.speaks)


def test_every_cause_is_spoken_for_by_a_rule() -> None:
    spoken = {one.cause for rule in RULES.values() for one in rule.speaks if one.ratio > 1}

    assert spoken == {cause.slug for cause in CAUSES}


# CEMA belt book, 7th edition, as listed in a trade periodical: a belt stays in its path when all
# seven hold. Beside each, causes that break it.
SEVEN_CONDITIONS = {
    "frame aligned and level": {"structure_bowed", "structure_out_of_level", "structure_racked"},
    "head and tail square on the frame": {"head_pulley_skewed", "tail_pulley_skewed"},
    "straight belt with square splices": {"belt_camber", "crooked_splice"},
    "good contact with the troughing rolls": {"belt_too_stiff"},
    "idlers square with the frame": {"carrying_idlers_skewed", "return_idler_skewed"},
    "right tension": {"tension_too_low"},
    "load central": {"off_centre_loading"},
}


@pytest.mark.parametrize(("condition", "causes"), SEVEN_CONDITIONS.items())
def test_each_condition_of_a_straight_belt_is_broken_by_a_cause(
    condition: str, causes: set[str]
) -> None:
    assert causes <= {cause.slug for cause in CAUSES}, condition


# --- signs ---


@pytest.mark.parametrize(
    ("run", "toward", "shift"),
    [("carrying", "head", "troughing idler"), ("return", "tail", "return idler")],
)
def test_idlers_are_trained_by_the_end_toward_which_the_belt_has_run(
    run: str, toward: str, shift: str
) -> None:
    # US Army TM 5-3820-233-12 (both runs) and TM 5-3895-374-24-2 (return run).
    causes = [
        cause
        for cause in CAUSES
        if cause.shift == shift and "the end toward which the belt has run" in cause.correct
    ]

    assert causes
    for cause in causes:
        texts = [cause.correct, " ".join(step.what for step in method(cause.work_method).steps)]
        for text in texts:
            moves = re.findall(r"advance the end toward which the belt has run[^.;]*", text)
            assert moves
            assert all(f"toward the {toward}" in move for move in moves)


def test_a_self_aligning_idler_swings_with_the_belt_of_its_run() -> None:
    upper = by_slug("self_aligning_idler_backwards_carrying")
    lower = by_slug("self_aligning_idler_backwards")

    assert "must swing toward the head" in " ".join(upper.confirm.what.split())
    assert "must swing toward the tail" in " ".join(lower.confirm.what.split())


def test_no_text_moves_a_pulley_to_train_the_belt() -> None:
    # US Army TM 5-3895-374-24-2: pulleys square and level, left there.
    for cause in CAUSES:
        if cause.shift == "pulley bearing":
            assert re.search(r"square|90 degrees|both sides measure the same", cause.correct)
            assert "past square" not in cause.correct or "Never set it past square" in cause.correct
    assert "leave it there" in method("square-pulley").name
    assert "not past it" in " ".join(step.what for step in method("square-pulley").steps)


@pytest.mark.parametrize(
    ("slug", "words"),
    [
        # Lightly loaded edge, TM 5-3895-374-24-2: load to the right, belt to the left.
        ("off_centre_loading", "Load lying right drives the belt left"),
        # Edge touched first, same manual: the bearing nearer the other pulley.
        ("tail_pulley_skewed", "nearer the head, away from the side that has been drawn back"),
        ("head_pulley_skewed", "whose bearing lies further back, nearer the tail"),
        # Low side, same manual, against the older rule of thumb.
        ("tail_pulley_out_of_level", "to the low side"),
        ("head_pulley_out_of_level", "to the low side"),
        # Larger end of a tapered pulley.
        ("head_lagging_worn_one_side", "toward the end where the lagging is still thick"),
        ("tail_pulley_build_up", "toward the end that has grown thicker"),
        # Inside of a bow, belt as a tensioned beam.
        ("structure_bowed", "away from the side to which the structure bulges"),
        # A turned idler's push changes sign with travel: what was pushed left is pushed right.
        ("rolls_trained_one_way", "to the very side it was once cured of"),
        # Carrying and return idlers of a racked bay are turned to opposite effect.
        ("structure_racked", "upper belt to the left and the returning belt to the right"),
    ],
)
def test_the_text_names_the_side_the_belt_goes_to(slug: str, words: str) -> None:
    assert words in " ".join(by_slug(slug).shows.split())


def test_the_load_is_moved_toward_the_side_the_belt_has_run_to() -> None:
    # Load right drives left; moving it left brings it to the middle.
    assert "toward the side to which the belt has run" in by_slug("off_centre_loading").correct


def test_nobody_is_told_to_train_idlers_for_load_splice_camber_or_wind() -> None:
    for slug in ("off_centre_loading", "crooked_splice", "belt_camber", "wind_on_belt"):
        assert by_slug(slug).shift is None
        assert re.search(r"Do not train|No idler can", by_slug(slug).correct)


# --- care ---


@pytest.mark.parametrize("cause", CAUSES, ids=lambda cause: cause.slug)
def test_a_check_with_the_belt_stopped_asks_for_isolation(cause: Cause) -> None:
    # 29 CFR 1910.147: servicing inside a guard or in a danger zone.
    if cause.confirm.needs_stop:
        assert "isolate-lock-try" in cause.cautions
    else:
        assert {"stay-outside-guards", "counterweight", "hot-rolls"} & set(cause.cautions)


@pytest.mark.parametrize(
    "cause", [one for one in CAUSES if not one.confirm.needs_stop], ids=lambda cause: cause.slug
)
def test_a_check_on_a_running_belt_touches_nothing(cause: Cause) -> None:
    hands = "measure|open|lift|scrape|swing|shake|turn|push|feel|clean|loosen"
    told_to_touch = rf"((^|[.;:,] )(and |then )?|\band )({hands})\b"

    assert not re.search(told_to_touch, cause.confirm.what, re.IGNORECASE)


@pytest.mark.parametrize("work", METHODS, ids=lambda work: work.slug)
def test_a_work_method_isolates_gives_back_and_proves(work: WorkMethod) -> None:
    steps = [step.what for step in work.steps]

    assert "local-rules" in work.cautions
    assert work.proof
    if not work.needs_isolation:
        assert "isolate-lock-try" not in work.cautions
        return
    assert "isolate-lock-try" in work.cautions
    assert "warn-before-start" in work.cautions
    isolating = next(index for index, what in enumerate(steps) if what.startswith("Isolate by"))
    giving_back = max(index for index, what in enumerate(steps) if what.startswith("Guards and"))
    assert isolating < giving_back
    # Nothing is taken apart before the belt is locked out.
    hands_on = (
        r"^(Renew|Scrape|Lift the|Change|Open|Support|Jack|Strip|Clean|Secure|Straighten|Set both)"
    )
    assert not any(re.match(hands_on, what) for what in steps[:isolating])


@pytest.mark.parametrize("work", METHODS, ids=lambda work: work.slug)
def test_a_work_method_is_proved_over_three_turns_of_the_belt(work: WorkMethod) -> None:
    texts = " ".join((*(step.what for step in work.steps), work.proof))

    assert re.search(r"three (full )?turns", texts)


@pytest.mark.parametrize("work", METHODS, ids=lambda work: work.slug)
def test_work_at_a_gravity_take_up_secures_the_weight(work: WorkMethod) -> None:
    words = " ".join(step.what for step in work.steps).casefold()
    if "take-up" in work.slug or "counterweight" in work.slug:
        assert re.search(r"secure|release and lock the winch", words)
        assert "stored-energy" in work.cautions
