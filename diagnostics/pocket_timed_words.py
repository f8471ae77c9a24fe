"""What the phone says in a timed look: one key for each of `pocket/timed/words.js`.

Braces hold figures that the phone fills in; the names in them stay as they are in every language.
"""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

TIMED_WORDS: dict[str, str | Promise] = {
    "title": _("Timed look"),
    "close": _("Close"),
    "belt_empty": _("belt empty"),
    "belt_loaded": _("belt loaded"),
    "backwards": _("runs backwards"),
    "facing_head": _("you face the head"),
    "facing_tail": _("you face the tail"),
    "cautions": _("Before you go to the belt"),
    "cautions_read": _("I have read them and keep to them"),
    "turn_takes": _(
        "One turn takes about {seconds} s. Watch for {turns} turns or more: {minutes} min."
    ),
    "start": _("Start the clock"),
    "turns": _("turns"),
    "over_left": _("Over to the left"),
    "over_right": _("Over to the right"),
    "back": _("Comes back"),
    "splice": _("Splice passes"),
    "left_in_travel": _("left in carrying travel"),
    "right_in_travel": _("right in carrying travel"),
    "undo": _("Undo last"),
    "end": _("End"),
    "undone": _("Taken away: {event}, {at}."),
    "tapped": _("{event}, {at}."),
    "too_many": _("{most} taps are the most that are kept. End the look."),
    "plot": _("One row for each turn: where in the turn it moved."),
    "plot_none": _("No taps yet."),
    "plot_turn": _("Turn {turn}: {events}."),
    "plot_event": _("{event} at {share} %"),
    "verdict_travels": _("Enough: it comes round with the belt ({times} to 1)."),
    "verdict_fixed": _(
        "Enough: it is fixed in place; nothing comes round with the belt ({times} to 1)."
    ),
    "verdict_watch": _("Keep watching: at most {turns} more turns, as it looks now."),
    "verdict_watch_one": _("Keep watching: one more turn, as it looks now."),
    "verdict_open": _("Still not told. End it, and watch where the belt stands off most."),
    "verdict_unknown": _(
        "The register does not say how long a turn takes: nothing is judged here."
    ),
    "place": _("It sits {metres} m ahead of the reference splice, within {within} m."),
    "place_unknown": _("Tap a pass of the reference splice: then its place on the belt is known."),
    "not_stored": _("This phone stores nothing now. Leave this page open until it is kept."),
    "ended": _("Ended at {at}: {taps} taps, {turns} turns."),
    "ended_plain": _("Ended at {at}: {taps} taps."),
    "note": _("note"),
    "keep": _("Keep it"),
    "go_on": _("Go on watching"),
    "throw_away": _("Throw away"),
    "throw_away_sure": _("Throw away {taps} taps for good?"),
    "throw_away_yes": _("Yes, throw away"),
    "no": _("No"),
    "keeping": _("Being kept …"),
    "not_kept": _("It could not be kept: {why} The taps are still here. Try again."),
    "found": _("A timed look was left here at {at}, with {taps} taps."),
    "found_gap": _("Nobody has tapped for {gap} since. That time counts as watched if you go on."),
    "keep_as_left": _("End it there"),
}
