"""The short lists of a month's report, from what got worse to what weakens its figures."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.class_words import class_words
from plant.days import whole_days
from workorders.attention import AttentionKind
from workorders.month_report.changes import EARLIER_MONTHS, LATER_MONTHS, Change, Verdict
from workorders.month_report.figures import Figures, Mend, ToDoRow, Worst
from workorders.month_report_shown import words

# The first sheet has room for so many of each; the second and the pages of the site have all.
MOST = 4
# Moved, but not beyond chance: named only so far.
_OPEN_NAMED = 2
# Of the belts to look at so many steps are named; more would not be read.
_STEPS = 3
# Less than this is no move worth a manager's minute; engineering judgement.
_MOVED = 1.5
# And where the true figure may lie this far on the other side, nothing is told at all.
_OTHER_SIDE = 3.0


@dataclass(frozen=True)
class Line:
    """A line of a list; `lead` names what it is about and leads to `address`, if any."""

    text: str
    lead: str = ""
    address: str = ""


@dataclass(frozen=True)
class Listed:
    """`none` says so where there is nothing to list; `more` counts what is not shown."""

    heading: str
    lines: Sequence[Line]
    none: str = ""
    more: str = ""


def changed(told: Figures, verdict: Verdict) -> Listed:
    """What got worse, or better; below it what moved that way without being beyond chance."""
    compared = told.compared
    named = [one for one in compared.belts if one.verdict == verdict]
    named.sort(key=lambda one: _surely(one, verdict))
    families = [one for one in compared.families if one.verdict == verdict]
    lines = [*(_of_belt(told, one) for one in named), *(_of_family(one) for one in families)]
    shown = lines[:MOST]
    is_worse = verdict is Verdict.WORSE
    return Listed(
        heading=_("What got worse") if is_worse else _("What got better"),
        lines=[*shown, *_too_early(told, verdict, MOST - len(shown))],
        none="" if shown else _nothing(told, is_worse=is_worse),
        more=_more(len(lines) - len(shown)),
    )


def _nothing(told: Figures, *, is_worse: bool) -> str:
    known = [one for one in told.compared.belts if one.verdict != Verdict.UNKNOWN]
    if not told.compared.belts:
        return _("No belt had a case in these fifteen months.")
    if not known:
        return _("There are no two periods yet that could be held against each other.")
    if is_worse:
        return _("No belt or cause family, beyond what chance explains.")
    return _("No belt or cause family, beyond what chance explains. It takes many cases to show.")


def _surely(change: Change, verdict: Verdict) -> float:
    """The surest first: by the limit nearest to no change."""
    limit = change.lower if verdict is Verdict.WORSE else change.upper
    known = 1.0 if limit is None else limit
    return -known if verdict is Verdict.WORSE else known


def _too_early(told: Figures, verdict: Verdict, room: int) -> Iterator[Line]:
    is_worse = verdict is Verdict.WORSE
    moved = [
        one
        for one in told.compared.belts
        if one.verdict == Verdict.OPEN and (_rises(one) if is_worse else _falls(one))
    ]
    moved.sort(key=lambda one: _surely(one, verdict))
    for one in moved[: min(room, _OPEN_NAMED)]:
        line = _of_belt(told, one)
        yield Line(_("too early to say: %(how)s") % {"how": line.text}, line.lead, line.address)


def _rises(one: Change) -> bool:
    # A single case is no beginning of a trend.
    told = one.lower is not None and one.lower >= 1 / _OTHER_SIDE
    return told and one.later > 1 and (one.ratio is None or one.ratio >= _MOVED)


def _falls(one: Change) -> bool:
    told = one.upper is not None and one.upper <= _OTHER_SIDE
    return told and one.earlier > 1 and one.ratio is not None and one.ratio <= 1 / _MOVED


def _of_belt(told: Figures, one: Change) -> Line:
    address = reverse("conveyor-trend", args=[told.asked.plant_code, one.name])
    return Line(change_words(one), one.name, address)


def _of_family(one: Change) -> Line:
    return Line(change_words(one), str(class_words(one.name)))


def change_words(one: Change) -> str:
    """How often, and from what it is known."""
    counted = _("%(later)s in %(few)d months, %(earlier)s in the %(many)d before") % {
        "later": words.cases_words(one.later),
        "earlier": words.cases_words(one.earlier),
        "few": LATER_MONTHS,
        "many": EARLIER_MONTHS,
    }
    return f"{words.how_often(one)}; {counted}"


def held(told: Figures) -> Listed:
    """Mends whose window ran out without a return, then those newly proved."""
    mends = told.mends
    held_words = _("held through %(days)d days") % {"days": mends.window_days}
    lines = [
        *(_mend(one, held_words) for one in mends.held),
        *(_mend(one, _proved_words(one)) for one in mends.proved),
    ]
    return Listed(
        heading=_("What was fixed and held"),
        lines=lines[:MOST],
        none="" if lines else _("No mend passed its proof run or came to the end of its watch."),
        more=_more(len(lines) - MOST),
    )


def came_back(told: Figures) -> Listed:
    lines = [_mend(one, _back_words(one)) for one in told.mends.came_back]
    return Listed(
        heading=_("What came back"),
        lines=lines[:MOST],
        none="" if lines else _("Nothing that had been mended came back."),
        more=_more(len(lines) - MOST),
    )


def _mend(one: Mend, how: str) -> Line:
    title = one.title if one.tag in one.title else f"{one.tag} {one.title}"
    return Line(f"{words.short(title)}: {how}", one.order, reverse("order", args=[one.order]))


def _proved_words(one: Mend) -> str:
    if one.back_case:
        return _("proof run passed, but %(case)s came back") % {"case": one.back_case}
    days = whole_days(one.days)
    held_so_far = ngettext("holds for %(n)d day so far", "holds for %(n)d days so far", days)
    return _("proof run passed, %(held)s") % {"held": held_so_far % {"n": days}}


def _back_words(one: Mend) -> str:
    days = whole_days(one.days)
    after = ngettext("came back after %(n)d day", "came back after %(n)d days", days) % {"n": days}
    return f"{after} ({one.back_case})"


def to_do(told: Figures) -> Listed:
    """Each kind of what stands open in one line, with the most pressing by number."""
    do = told.to_do
    waits = [
        _("%(n)d for parts") % {"n": do.waiting_parts} if do.waiting_parts else "",
        _("%(n)d for an outage") % {"n": do.waiting_outage} if do.waiting_outage else "",
        _("%(n)d for people") % {"n": do.waiting_people} if do.waiting_people else "",
    ]
    waiting = ", ".join(one for one in waits if one)
    lines = [
        _counted(do.overdue, _overdue(do.overdue), _examples(told, AttentionKind.OVERDUE)),
        _counted(do.proofs, _proofs(do.proofs), _examples(told, AttentionKind.PROOF)),
        Line(_("Orders that wait: %(which)s.") % {"which": waiting}) if waiting else None,
        _counted(do.not_begun, _not_begun(do.not_begun), _examples(told, AttentionKind.NOT_BEGUN)),
        _counted(do.undecided, _undecided(do.undecided), ""),
        *(_step(told, one) for one in told.ranking.belts[:_STEPS]),
    ]
    said = [one for one in lines if one is not None]
    return Listed(
        heading=_("What to do"),
        lines=said,
        none="" if said else _("Nothing is overdue, waits or has to be proved."),
    )


def _counted(count: int, said: str, examples: str) -> Line | None:
    return Line(f"{said} {examples}".rstrip()) if count else None


def _overdue(count: int) -> str:
    return ngettext("%(n)d order is overdue:", "%(n)d orders are overdue:", count) % {"n": count}


def _proofs(count: int) -> str:
    said = ngettext("%(n)d proof run is owed:", "%(n)d proof runs are owed:", count)
    return said % {"n": count}


def _not_begun(count: int) -> str:
    said = ngettext(
        "%(n)d order was planned and is not begun:",
        "%(n)d orders were planned and are not begun:",
        count,
    )
    return said % {"n": count}


def _undecided(count: int) -> str:
    said = ngettext(
        "%(n)d proposed order waits for a decision.",
        "%(n)d proposed orders wait for a decision.",
        count,
    )
    return said % {"n": count}


def _examples(told: Figures, kind: AttentionKind) -> str:
    rows = [one for one in told.to_do.rows if one.kind == kind.value]
    return "; ".join(_example(one) for one in rows[:_OPEN_NAMED])


def _example(one: ToDoRow) -> str:
    since = _(", since %(day)s") % {"day": words.day_words(one.since)} if one.since else ""
    return f"{one.order} {one.tag}{since}"


def _step(told: Figures, worst: Worst) -> Line:
    address = reverse("conveyor-trend", args=[told.asked.plant_code, worst.tag])
    return Line(words.short(worst.step), worst.tag, address)


def gaps(told: Figures) -> Listed:
    said = list(_gaps(told))
    return Listed(
        heading=_("What weakens these figures"),
        lines=[Line(one) for one in said],
        none="" if said else _("Nothing: causes, lost hours and meters are all there."),
    )


def _gaps(told: Figures) -> Iterable[str]:
    gaps, compared = told.gaps, told.compared
    cases = {"all": gaps.cases}
    if not told.asked.is_whole:
        yield _("The month goes on: it is reported until %(when)s.") % {"when": words.read_at(told)}
    if compared.record_begins:
        begins = {"day": words.day_words(compared.record_begins)}
        yield _("The record begins on %(day)s; what is compared reaches back no further.") % begins
    if gaps.cause_unknown:
        yield _("The cause is not known of %(n)d of %(all)d cases.") % {
            "n": gaps.cause_unknown,
            **cases,
        }
    if gaps.lost_unsaid:
        yield _("Nobody noted the lost hours of %(n)d of %(all)d cases.") % {
            "n": gaps.lost_unsaid,
            **cases,
        }
    if gaps.belts_unmetered:
        yield _("Running hours are not read, or too seldom, on %(n)d of %(all)d belts.") % {
            "n": gaps.belts_unmetered,
            "all": gaps.belts,
        }
    if compared.left_out:
        left_out = ngettext(
            "%(n)d case lies where no meter was read and is not compared.",
            "%(n)d cases lie where no meter was read and are not compared.",
            compared.left_out,
        )
        yield left_out % {"n": compared.left_out}


def _more(count: int) -> str:
    if count <= 0:
        return ""
    return _("and %(n)d more, in the tables") % {"n": count}
