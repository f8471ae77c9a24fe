"""A kept diagnosis by today's rules and base rates; asks for no mechanics."""

from diagnostics.inference.moved import Shift, shifts_between
from diagnostics.inference.posterior import Likelihoods, cause_probabilities
from diagnostics.models import Diagnosis
from diagnostics.selectors import shelf
from diagnostics.selectors.base_rates import priors_of


def class_shares_today(diagnosis: Diagnosis) -> dict[str, float] | None:
    """Probability of each class; None for a diagnosis from before likelihoods were kept."""
    if not diagnosis.likelihoods:
        return None
    knowledge = shelf.knowledge_of(diagnosis.case.conveyor.plant_id)
    found = cause_probabilities(
        Likelihoods.from_json(diagnosis.likelihoods), knowledge, priors_of(diagnosis.case)
    )
    shares: dict[str, float] = {}
    for slug, probability in found.items():
        name = knowledge.causes[slug].cause_class.value
        shares[name] = shares.get(name, 0.0) + probability
    return shares


def shifts_today(diagnosis: Diagnosis) -> tuple[Shift, ...]:
    """What today's rules and base rates would move, the most moved first."""
    shares = class_shares_today(diagnosis)
    if shares is None:
        return ()
    then = {one["class"]: one["probability"] for one in diagnosis.answer["classes"]}
    return shifts_between(then, shares)
