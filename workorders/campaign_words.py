"""What a comparison of two periods says, and what it cannot say; sentences with their figures."""

import math
from collections.abc import Iterator
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.class_words import class_words
from diagnostics.recurrence.expected_anyway import ExpectedAnyway
from diagnostics.recurrence.periods import Comparison
from plant import exposure_words
from plant.exposure_words import significant
from plant.models import Plant
from workorders.mend_words import chance
from workorders.models import Campaign
from workorders.selectors.before_after import BeforeAfter, Compared, Side
from workorders.selectors.campaign_periods import Periods

# A probability of a change between these settles nothing; engineering judgement.
_UNLIKELY, _LIKELY = 0.2, 0.8
# Below this chance a difference is not put down to chance.
_SURE = 0.05


def belts_words(campaign: Campaign) -> str:
    """Which belts; asks the conveyors that were fetched with the campaign."""
    tags = [one.tag for one in campaign.conveyors.all()]
    if tags:
        return ", ".join(tags)
    if campaign.area:
        return _("all of %(area)s") % {"area": campaign.area}
    return _("the whole plant")


def family_words(family: str) -> str:
    return str(class_words(family)) if family else _("all cause families")


def ratio_words(found: Compared) -> str:
    """How many times as often, with limits and what to make of it."""
    before, after, ratio = found.before, found.after, found.ratio
    if ratio is None:
        return _("The rates cannot be compared: %(why)s") % {"why": no_rate_words(found)}
    if not before.cases and not after.cases:
        return _("There was no case before and none after, so nothing is to be compared.")
    if not after.cases:
        said = _("Afterwards there was no case: at most %(upper)s times as often as before.") % {
            "upper": significant(float(ratio.upper))
        }
        return f"{said} {_verdict(0.0, float(ratio.p_two_sided))}"
    figure, lower, upper = float(ratio.ratio), float(ratio.lower), float(ratio.upper)
    p = float(ratio.p_two_sided)
    if math.isinf(figure):
        said = _(
            "Before there was no case, afterwards %(n)d: at least %(lower)s times as often."
        ) % {
            "n": after.cases,
            "lower": significant(lower),
        }
    else:
        said = _(
            "Afterwards cases came %(ratio)s times as often as before (%(lower)s to %(upper)s)."
        )
        said %= {
            "ratio": significant(figure),
            "lower": significant(lower),
            "upper": significant(upper),
        }
    return f"{said} {_verdict(figure, p)}"


def result_words(found: Compared | None) -> str:
    """A list's few words: how many times as often, with limits."""
    if found is None:
        return _("no day after it is over")
    before, after, ratio = found.before, found.after, found.ratio
    told = {"before": before.cases, "after": after.cases}
    cases = _("%(before)d before, %(after)d after") % told
    if ratio is None:
        return f"{cases}: {no_rate_words(found)}"
    if not before.cases and not after.cases:
        return _("no case before or after")
    figure, lower, upper = float(ratio.ratio), float(ratio.lower), float(ratio.upper)
    if math.isinf(figure):
        said = _("at least %(lower)s times as often") % {"lower": significant(lower)}
    elif not after.cases:
        said = _("at most %(upper)s times as often") % {"upper": significant(upper)}
    else:
        said = _("%(ratio)s times as often (%(lower)s to %(upper)s)") % {
            "ratio": significant(figure),
            "lower": significant(lower),
            "upper": significant(upper),
        }
    return f"{said}: {cases}"


def _verdict(ratio: float, p: float) -> str:
    if p > _SURE:
        return _("That may well be chance (p %(p)s).") % {"p": chance(p)}
    if ratio < 1:
        return _("That is fewer by more than chance would make it (p %(p)s).") % {"p": chance(p)}
    return _("That is more by more than chance would make it (p %(p)s).") % {"p": chance(p)}


def no_rate_words(found: Compared) -> str:
    if not found.before.exposure:
        return _("nothing is known of the exposure before.")
    return _("nothing is known of the exposure after.")


def anyway_words(found: ExpectedAnyway, observed: int) -> str:
    """What belts with such a record do by themselves, beside what these did."""
    said = _(
        "By their record alone, belts like these would have had about %(expected)s cases in the "
        "time after (%(lower)d to %(upper)d); there were %(observed)d."
    ) % {
        "expected": significant(found.expected),
        "lower": found.lower,
        "upper": found.upper,
        "observed": observed,
    }
    if observed < found.lower:
        return f"{said} " + _("So few come by themselves with a probability of %(p)s.") % {
            "p": chance(found.p_as_few)
        }
    if observed > found.upper:
        return f"{said} " + _("That is more than chance would make it.")
    return f"{said} " + _("So no change beyond their record is shown.")


def beside_words(found: Comparison) -> str:
    """The chosen belts' change beside that of the others."""
    figure, lower, upper = float(found.ratio), float(found.lower), float(found.upper)
    if figure == 0:
        said = _("Beside theirs, these belts' rate changed by a factor of at most %(upper)s.") % {
            "upper": significant(upper)
        }
    elif math.isinf(figure) or math.isinf(upper):
        said = _("Beside theirs, these belts' rate changed by a factor of at least %(lower)s.") % {
            "lower": significant(lower)
        }
    else:
        said = _(
            "Beside theirs, these belts' rate changed by a factor of %(ratio)s (%(lower)s to "
            "%(upper)s)."
        ) % {
            "ratio": significant(figure),
            "lower": significant(lower),
            "upper": significant(upper),
        }
    return f"{said} {_verdict(figure, float(found.p_two_sided))}"


def change_words(found: BeforeAfter, plant: Plant) -> str:
    """Whether and when the rate changed, and where the campaign lies to that."""
    change = found.change
    if change is None or found.begins_at is None:
        return _("Without a case there is no day on which the rate could have changed.")
    said = _(
        "That the rate changed at all, once, has a probability of %(p)s; beforehand it was held as "
        "likely as not."
    ) % {"p": chance(change.probability)}
    if change.probability < _UNLIKELY:
        return f"{said} " + _("The days of the cases speak against a change.")
    likeliest, lower, upper = (
        day_after(found.begins_at, one, plant) for one in (change.mode, change.lower, change.upper)
    )
    when = _("If it did, then most likely on %(day)s, with 90 %% between %(lower)s and %(upper)s.")
    when %= {"day": likeliest, "lower": lower, "upper": upper}
    if change.probability < _LIKELY:
        return " ".join((said, when, _("That settles nothing.")))
    return " ".join(filter(None, (said, when, _lies(found.periods, lower, upper))))


def _lies(periods: Periods, lower: date, upper: date) -> str:
    if periods.began_on is None or periods.ended_on is None:
        return ""
    if periods.ended_on < lower:
        return _(
            "The campaign was over by then: something else may have done it, or it acted late."
        )
    if periods.began_on > upper:
        return _("That is before the campaign began: it was not the campaign.")
    return _("The campaign lies in that time.")


def day_after(start: datetime, days: float, plant: Plant) -> date:
    return (start + timedelta(days=days)).astimezone(plant.zone_info).date()


def cannot_say(found: BeforeAfter, chosen: str) -> Iterator[str]:
    """In plain words, the most important first."""
    yield _(
        "Other things may have changed with it: tonnage, material, weather, people, other mends. "
        "The figures tell that the rate changed, not why."
    )
    if chosen == Campaign.Chosen.WORST:
        yield _(
            "These belts were chosen because they were bad. Part of that was bad luck, and they "
            "would have got better by themselves: go by the line “by their record alone”, not by "
            "their own past."
        )
    elif chosen != Campaign.Chosen.ALL:
        yield _(
            "If these belts were picked for their bad record, they would have got better by "
            "themselves: then go by the line “by their record alone”."
        )
    if not found.periods.are_whole_years:
        yield _(
            "The periods are not whole years, so that a season may be in one and not the other."
        )
    yield from _gaps(found)


def _gaps(found: BeforeAfter) -> Iterator[str]:
    chosen = found.chosen
    left_out = chosen.before.left_out + chosen.after.left_out
    if left_out:
        yield ngettext(
            "%(n)d case is left out, for nothing is known of its belt's exposure at that time.",
            "%(n)d cases are left out, for nothing is known of their belts' exposure at that time.",
            left_out,
        ) % {"n": left_out}
    before, after = found.causeless
    if before or after:
        yield _(
            "Cases of these belts without a confirmed cause, %(before)d before and %(after)d "
            "after, are not counted; some may be of this family."
        ) % {"before": before, "after": after}


def side_words(side: Side, found: BeforeAfter) -> dict[str, str | int]:
    """One row of the table of both periods."""
    basis = found.basis
    return {
        "days": f"{side.period.first:%Y-%m-%d} – {side.period.last:%Y-%m-%d}",
        "length": side.period.days,
        "belts": side.belts,
        "cases": side.cases,
        "exposure": exposure_words.amount_words(side.exposure, basis) if side.exposure else "",
        "rate": "" if side.rate is None else exposure_words.rate_words(side.rate, basis),
    }
