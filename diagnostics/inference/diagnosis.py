"""The engine: evidence in, ranked hypotheses out. The one entry point.

`ENGINE_VERSION` goes with every stored answer; it changes whenever the same evidence may get
another answer.
"""

from diagnostics.inference.account import Accounts
from diagnostics.inference.answer import Answer, ClassShare, Onset, Suspicion
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.correction.first_step import correction_for
from diagnostics.inference.evidence import Evidence
from diagnostics.inference.explain import reasons_for
from diagnostics.inference.feature_words import Remark
from diagnostics.inference.features import all_centred, features_of, says_erratic
from diagnostics.inference.next_look.checks import Situation, next_checks
from diagnostics.inference.notes import notes_on
from diagnostics.inference.onset import find_onset
from diagnostics.inference.pairs.notes import notes_on_pairs
from diagnostics.inference.pairs.search import pairs_of
from diagnostics.inference.posterior import (
    Likelihoods,
    cause_probabilities,
    log_rules,
    matching_rules,
)
from diagnostics.inference.priors import log_priors
from diagnostics.inference.profile import Profile
from diagnostics.inference.ranking import BOWED, Entry, class_shares, rank
from diagnostics.inference.scoring import likelihoods_of, standings_of, weigh_causes
from diagnostics.inference.strays import notes_on_strays, set_aside
from diagnostics.inference.sufficiency import judge
from diagnostics.inference.timed_look import Travel, contradiction, read_timed_look, together
from diagnostics.inference.two_views import disagreement, notes_on_views
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass, Pattern
from diagnostics.inference.weighing import Weighed, Weigher

ENGINE_VERSION = "belt mechanics 3"
# Cautions are shown for the best entry of so many classes.
_FIRST = 3


def diagnose(evidence: Evidence, knowledge: Knowledge) -> Answer:
    """Rank what may drive the belt off, and say why, what to look at next and what to do first.

    Parameters
    ----------
    evidence : Evidence
    knowledge : Knowledge
        One version of catalogue and rules.

    Returns
    -------
    Answer
        `classes` holds every class that is possible on this conveyor and sums to 1; `ranked`
        holds the likeliest entries, and the best of every class.

    Notes
    -----
    The same evidence and knowledge give the same answer; neither clock nor chance is asked.
    """
    evidence, strays = set_aside(evidence)
    travels = _travels(evidence)
    weigher, weighed, likelihoods = _weigh(evidence, knowledge, travels)
    travel, features = weigher.travel, likelihoods.features
    log_prior = log_priors((knowledge.causes[slug] for slug in weighed), evidence.priors)
    causes = cause_probabilities(likelihoods, knowledge, evidence.priors)
    standings = standings_of(weighed, causes, log_prior, knowledge)
    shares = class_shares(standings)
    rules = matching_rules(knowledge, features)
    told = log_rules(rules)
    log_weight = {slug: log + told.get(slug, 0.0) for slug, log in log_prior.items()}
    pairs = pairs_of(weigher, weighed, log_weight, knowledge)
    accounts = Accounts(standings, log_prior, rules, evidence.findings)
    entries = rank(evidence, standings, travel)
    pattern = _pattern(evidence, entries)
    onset = _onset(evidence, pattern)
    enough = judge(evidence, features, shares, travel)
    has_size = any(one.size is not None for one in entries)
    return Answer(
        pattern=pattern,
        onset=onset,
        ranked=tuple(_worded(one, accounts, evidence, travel, weigher.profile) for one in entries),
        classes=tuple(ClassShare(name, share) for name, share in shares.items()),
        pairs=tuple(one.as_pair() for one in pairs),
        sufficient=enough.is_enough,
        next_checks=next_checks(
            Situation(evidence, entries, shares, onset, travel, standings, weigher.profile)
        ),
        cautions=_cautions(entries, knowledge),
        notes=(
            *enough.notes,
            *notes_on_pairs(pairs, evidence.conveyor),
            *contradiction(evidence.timed_looks, travels),
            *notes_on_views(disagreement(likelihoods, knowledge, evidence.priors)),
            *notes_on_strays(strays, evidence.conveyor.loop.length_m),
            *notes_on(evidence, travel, weigher.models, has_size=has_size),
        ),
        likelihoods=likelihoods,
    )


def class_probabilities(evidence: Evidence, knowledge: Knowledge) -> dict[str, float]:
    """Probability of every class by its word, as `diagnose` gives it, without the rest."""
    evidence, _strays = set_aside(evidence)
    _weigher, _weighed, likelihoods = _weigh(evidence, knowledge, _travels(evidence))
    shares: dict[str, float] = {}
    for slug, share in cause_probabilities(likelihoods, knowledge, evidence.priors).items():
        name = knowledge.causes[slug].cause_class.value
        shares[name] = shares.get(name, 0.0) + share
    return shares


def travel_of(evidence: Evidence) -> Travel | None:
    """What all timed looks of a case say together; None when there is none."""
    return together(_travels(evidence))


def _weigh(
    evidence: Evidence, knowledge: Knowledge, travels: tuple[Travel, ...]
) -> tuple[Weigher, dict[str, Weighed], Likelihoods]:
    travel = together(travels)
    weigher = Weigher(evidence, travel)
    weighed = weigh_causes(weigher, knowledge)
    return weigher, weighed, likelihoods_of(weighed, features_of(evidence, travel))


def _travels(evidence: Evidence) -> tuple[Travel, ...]:
    belt, speed_mps = evidence.conveyor.belt, evidence.conveyor.speed_mps
    return tuple(read_timed_look(one, belt.length_m, speed_mps) for one in evidence.timed_looks)


def _pattern(evidence: Evidence, entries: tuple[Entry, ...]) -> Pattern:
    """That of the first class, unless what was seen or said is plainer."""
    if all_centred(evidence):
        return Pattern.CENTRED
    if Remark.STARTS_AND_STOPS in evidence.remarks:
        return Pattern.START_STOP
    if says_erratic(evidence):
        return Pattern.ERRATIC
    first = entries[0].cause.cause_class if entries else None
    if first in BELT_CLASSES:
        return Pattern.TRAVELLING
    return Pattern.LOAD_DEPENDENT if first is CauseClass.LOADING else Pattern.FIXED


def _onset(evidence: Evidence, pattern: Pattern) -> Onset | None:
    """A defect that travels is off wherever it passes: it has no onset."""
    if pattern is Pattern.TRAVELLING:
        return None
    return find_onset(evidence.conveyor, evidence.sightings)


def _worded(
    entry: Entry,
    accounts: Accounts,
    evidence: Evidence,
    travel: Travel | None,
    profile: Profile,
) -> Suspicion:
    reasons = reasons_for(entry, accounts.of(entry), evidence, travel)
    is_bow = entry.cause.slug == BOWED and entry.side is not None
    return Suspicion(
        cause=entry.cause.slug,
        cause_class=entry.cause.cause_class,
        zone=entry.zone,
        component=entry.component,
        position_m=entry.position_m,
        position_lower_m=entry.lower_m,
        position_upper_m=entry.upper_m,
        belt_position_m=entry.belt_position_m,
        side=entry.side,
        bows_to=entry.side.opposite if is_bow and entry.side is not None else None,
        size=entry.size,
        size_unit=entry.size_unit,
        probability=entry.probability,
        reasons=reasons.speaks_for,
        against=reasons.against,
        correction=correction_for(entry, evidence.conveyor, profile),
        sum=reasons.sum,
    )


def first_of_classes(entries: tuple[Entry, ...], count: int) -> tuple[Entry, ...]:
    """The best entry of each of the first classes."""
    best = {one.cause.cause_class: one for one in reversed(entries)}
    order = dict.fromkeys(one.cause.cause_class for one in entries)
    return tuple(best[name] for name in order)[:count]


def _cautions(entries: tuple[Entry, ...], knowledge: Knowledge) -> tuple[str, ...]:
    """Cautions of the first suspicions, each once; all of them where there is no suspicion."""
    wanted = dict.fromkeys(
        slug for entry in first_of_classes(entries, _FIRST) for slug in entry.cause.cautions
    )
    slugs = wanted or knowledge.cautions
    return tuple(knowledge.cautions[slug] for slug in slugs if slug in knowledge.cautions)
