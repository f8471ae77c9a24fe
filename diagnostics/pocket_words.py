"""Words of the walk-down app, by the names under which its screens ask for them.

The shell page carries them, so that the screens speak the reader's language without signal.
"""

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from plant.words import Words

_EVERYWHERE: dict[str, Words] = {
    "walk_down": _("Walk-down"),
    "all_sent": _("All sent"),
    "to_be_sent": _("To be sent: %(count)s"),
    "to_be_decided": _("To be decided: %(count)s"),
    "sending": _("sending"),
    "no_signal": _("no signal"),
    "site_silent": _("the site does not answer"),
    "sign_in_needed": _("sign in again"),
    "of_another_person": _("entries of another person: they sign in to send them"),
    "role_may_not": _("your role may not walk belts"),
    "role_may_not_walk": _(
        "Your role may look at cases but not walk belts. Who looks after the accounts can change "
        "that."
    ),
    "sign_in": _("Sign in"),
    "storage_full": _(
        "This phone's storage is full. Not kept: %(what)s. Make room on the phone, then press "
        "again."
    ),
    "not_kept": _("Not kept: %(what)s. Press again."),
    "cannot_open": _("This cannot be opened now"),
    "cannot_open_offline": _("It is not on this phone, and there is no signal."),
    "cannot_open_signed_out": _("It is not on this phone yet. Sign in to fetch it."),
    "cannot_open_gone": _("There is no such case, or it is not of your plants."),
    "cannot_open_otherwise": _("Something went wrong. What was recorded is still on this phone."),
    "no_such_screen": _("There is nothing at this address"),
    "no_such_station": _("There is no such station on this belt"),
    "the_change": _("the change"),
    "the_beginning": _("the beginning of the walk-down"),
    "the_end": _("the end of the walk-down"),
    "an_entry": _("an entry"),
    "photo": _("photo"),
    "timed_look": _("timed look"),
    "on_this_phone": _("still on this phone"),
    "keep": _("Keep"),
    "back": _("Back"),
    "note": _("Note"),
    "where": _("Where"),
    "because": _("Because"),
    "summary": _("Summary"),
    "to_the_case": _("To the case"),
    "to_the_cases": _("Cases on this phone"),
    "back_to_belt": _("Back to the belt"),
    "under_one_percent": _("under 1 %"),
}

_LOOKS: dict[str, Words] = {
    "left": _("left"),
    "right": _("right"),
    "left_in_travel": _("left in carrying travel"),
    "right_in_travel": _("right in carrying travel"),
    "centred": _("centred"),
    "a_little": _("a little"),
    "half": _("half"),
    "hard_over": _("hard over"),
    "mm": _("mm"),
    "mm_or_inches": _("mm or in"),
    "empty": _("empty"),
    "loaded": _("loaded"),
    "not_watched": _("not watched"),
    "steady": _("steady"),
    "comes_and_goes": _("comes and goes"),
    "no_pattern": _("no pattern"),
    "running_backwards": _("running backwards"),
    "forwards": _("forwards"),
    "not_reachable_because": _("not reachable: %(why)s"),
    "carrying_run": _("carrying run"),
    "return_run": _("return run"),
    "kept": _("Kept: %(what)s"),
    "taken_back": _("Taken back: %(what)s"),
    "counts_again": _("Counts again: %(what)s"),
    "undo": _("Undo"),
    "take_back": _("Take back"),
    "count_again": _("Count again"),
    "beyond": _("beyond the edge clearance; is it right?"),
}

_CASES: dict[str, Words] = {
    "cases_on_this_phone": _("Cases on this phone"),
    "no_case_here": _(
        "No case is on this phone yet. Take one along while there is signal; then it can be walked "
        "without."
    ),
    "take_along": _("Open cases to take along"),
    "take": _("Take along"),
    "nothing_to_take": _("Every open case of your plants is on this phone."),
    "signal_to_take": _("No signal: other cases can be taken along when there is some."),
    "sign_in_to_take": _("Sign in to take other cases along."),
    "being_fetched": _("The case is being fetched."),
    "not_fetched": _("%(number)s could not be fetched. Try where the signal is better."),
    "leave_here": _("Take off this phone"),
    "still_waits_here": _("Something of this case still waits to be sent, so it stays."),
    "all_cases": _("All cases, page by page"),
    "without_https": _("This address has no HTTPS"),
    "without_https_missing": _(
        "The page cannot be opened again without signal, and it cannot be put on the phone's "
        "screen as an app."
    ),
    "without_https_works": _(
        "While there is signal everything works, and what is recorded stays on this phone until it "
        "is sent. Whoever runs the site can give it a certificate."
    ),
    "page_on_its_way": _("The case is here. The page is being kept for places without signal."),
    "ready_without_signal": _("Ready without signal, as of %(at)s"),
    "read_at": _("As of %(at)s. Keep this page open: without HTTPS it does not open again."),
    "fetch_anew": _("Fetch anew"),
    "case_is_closed": _("This case is closed; nothing more is recorded on it."),
    "begin": _("Walk the belt"),
    "go_on_walking": _("Go on walking"),
    "begun_already": _("You have begun this walk-down."),
    "what_was_said": _("What was said"),
    "nothing_was_said": _("No complaint is on this case."),
    "what_is_known": _("What is known"),
    "what_is_suspected": _("What is suspected"),
}

_BEFORE: dict[str, Words] = {
    "before_you_go": _("Before you go"),
    "cautions_read": _("I have read the cautions and keep to them"),
    "read_the_cautions": _("Read the cautions and say so before you go to the belt."),
    "which_way_facing": _("Which way do you face?"),
    "facing_head": _("towards the head"),
    "facing_tail": _("towards the tail"),
    "say_which_way": _("Say which way you face."),
    "the_belt_is": _("The belt is"),
    "say_the_load": _("Say whether the belt is loaded or empty."),
    "the_belt_runs": _("The belt runs"),
    "go_to_first": _("Go to the first station"),
    "back_to_case": _("Back to the case"),
    "belt_stands_still": _("The belt stands still"),
    "belt_stands_still_help": _("Only if it cannot be watched running."),
    "keep_standing_still": _("Keep that it stood still"),
    "say_why": _("Say why."),
    "another_pass": _("Once more along the belt"),
}

_STATION: dict[str, Words] = {
    "stop_of": _("stop %(here)s of %(all)s"),
    "stretch_ahead": _("The belt ahead of %(place)s"),
    "ahead": _("Ahead: %(places)s"),
    "last_stop": _("This is the last stop."),
    "seen_on_stretch": _("Seen on this stretch:"),
    "how_you_stand": _("How you stand, and how the belt runs"),
    "you_face_head": _("You face the head"),
    "you_face_tail": _("You face the tail"),
    "turn_round": _("turn round"),
    "belt_loaded": _("Belt loaded"),
    "belt_empty": _("Belt empty"),
    "now_loaded": _("now loaded"),
    "now_empty": _("now empty"),
    "runs_forwards": _("Runs forwards"),
    "runs_backwards": _("Runs backwards"),
    "other_way": _("other way"),
    "noted_as_stopped": _("The belt is noted as stopped: %(why)s"),
    "runs_again": _("It runs again"),
    "walk_back_from_here": _(
        "From here you walk back along the return run. Do you turn round to face the tail?"
    ),
    "i_turn_round": _("Yes, I face the tail now"),
    "i_stay_as_i_am": _("No, I still face the head"),
    "watched_it_is": _("Watched for some turns, it is"),
    "one_tap_keeps": _("Where the belt runs: one tap keeps it, a long press asks for millimetres"),
    "long_press_mm": _("One tap keeps the look. Hold for millimetres."),
    "along_the_route": _("Along the route"),
    "skip": _("Skip"),
    "next": _("Next"),
    "to_the_end": _("To the end"),
    "list_of_stops": _("All stops"),
    "kept_here": _("Kept here"),
    "seen_here_before": _("Seen here on other walk-downs"),
    "more_for_this_place": _("More for this place"),
    "close_looks": _("Close looks"),
    "photo_here": _("Photo"),
    "time_this_station": _("Time this station"),
    "go_on_timing": _("Go on timing (taps: %(taps)s)"),
    "timed_look_unfinished": _("Go on with the timed look at %(place)s (taps: %(taps)s)"),
    "timed_look_waits": _(
        "A timed look at %(place)s was begun and left (taps: %(taps)s). Walk the belt to go on "
        "with it."
    ),
    "timed_look_at": _("Timed look at %(place)s"),
    "not_reachable": _("Not reachable"),
    "also_noticed": _("Also noticed"),
    "off_centre": _("Measured off centre"),
    "in_inches": _("in inches"),
    "in_millimetres": _("in mm"),
    "inch": _("in"),
    "decimal_sign": pgettext_lazy("between whole number and decimals", "."),
    "decimal_point": _("Decimal point"),
    "figures": _("Figures"),
    "erase": _("Erase the last figure"),
    "type_a_figure": _("Type how far."),
    "not_reachable_why": _("Why can it not be seen?"),
    "guarded": _("guarded"),
    "too_high": _("too high"),
    "too_dark": _("too dark"),
    "blocked": _("blocked"),
    "another_reason": _("Another reason"),
    "tick_what_holds": _("Tick what holds"),
}

_PLACES: dict[str, Words] = {
    "where_are_you": _("Where are you?"),
    "no_route": _(
        "The register is not complete, so there is no route. Say yourself where you look."
    ),
    "not_looked_at": _("not looked at"),
    "another_place": _("Another place"),
    "station": _("Station"),
    "loop_position": _("Loop position in m"),
    "loop_position_help": _("Metres along the belt from the tail pulley, in carrying travel."),
    "run": _("Run"),
    "go_there": _("Go there"),
    "go_to_position": _("Go to this loop position"),
    "no_station_called": _("No station is called “%(name)s”."),
    "did_you_mean": _("Did you mean"),
    "off_the_loop": _("Write a loop position from 0 m to less than %(length)s."),
    "say_name_and_position": _("Write a name and a loop position in metres."),
}

_SUSPICION: dict[str, Words] = {
    "field_notes": _("Notes from the field"),
    "photos_on_site": _("photos on the site: %(count)s"),
    "suspected_so_far": _("Suspected so far"),
    "suspected": _("Suspected"),
    "first_suspect": _("First suspect, by the site"),
    "nothing_suspected": _("Nothing is suspected yet."),
    "likeliest": _("Likeliest: %(cause)s, %(share)s"),
    "likeliest_at": _("Likeliest: %(cause)s at %(where)s, %(share)s"),
    "no_table": _(
        "The figures for ranking are not on this phone. The site ranks the causes when the looks "
        "reach it."
    ),
    "no_table_site_said": _(
        "The figures for ranking are not on this phone. This is what the site said last:"
    ),
    "enough": _("Enough for an answer."),
    "not_enough_yet": _("Not enough yet."),
    "best_next_look": _("Best next look:"),
}

_CLOSE: dict[str, Words] = {
    "what_can_be_at": _("What can be wrong at %(place)s"),
    "look_for_another": _("Something else"),
    "search_causes": _("Find a cause"),
    "search_help": _("A word of it, such as roll, splice or chute."),
    "nothing_found": _("No cause has this word."),
    "looked_at_closely": _("Looked at closely"),
    "looked_yes": _("yes, it is there"),
    "looked_no": _("no, it is not"),
    "belt_stopped_locked": _("belt stopped and locked out"),
    "belt_running_outside": _("belt running, from outside the guards"),
    "minutes": _("%(count)s min"),
    "where_help": _("A component or station as the register calls it."),
    "yes_it_is": _("Yes, it is there"),
    "no_it_is_not": _("No, it is not"),
    "photos": _("Photos"),
    "photo_of": _("Photo of %(place)s"),
    "photo_number": _("photo %(number)s"),
    "photos_of_case": _("Photos of this case so far: %(count)s"),
    "photos_kept": _("Photos kept: %(count)s"),
    "what_it_shows": _("What it shows"),
    "keep_photos": _("Keep the photos"),
    "choose_a_photo": _("Take or choose a photo first."),
    "no_picture": _("That is no picture this phone can read."),
    "remove": _("Remove"),
}

_SUMMARY: dict[str, Words] = {
    "the_walk_so_far": _("Walk-down so far"),
    "the_walk_is_finished": _("Walk-down finished"),
    "stations_looked_at": _("Stations looked at"),
    "of_stops": _("%(count)s, of %(all)s stops"),
    "still_on_this_phone": _("Still on this phone"),
    "beyond_clearance": _("Beyond the edge clearance"),
    "every_stop_was_seen": _("Every stop ahead was looked at with the belt %(load)s."),
    "once_more_empty": _("Once more, empty"),
    "once_more_loaded": _("Once more, loaded"),
    "finish": _("Finish the walk-down"),
    "not_finished_go_on": _("Not finished after all: go on"),
    "begin_another": _("Begin another walk-down"),
    "loop_drawing": _("The loop of %(tag)s in side view"),
    "ribbon_key": _(
        "Blue: how far the belt runs off centre, %(load)s. Outside the loop is right, inside is "
        "left, looking in carrying travel."
    ),
    "along_the_loop": _("Along the loop: %(places)s"),
    "nothing_to_draw": _("Nothing was seen yet that could be drawn."),
    "looks": _("Looks: %(count)s"),
    "nothing_kept": _("No look was kept."),
    "sides_in_travel": _("Left and right as when looking in carrying travel."),
    "stops_skipped": _("Stops not looked at: %(count)s"),
    "recorded_here": _("Recorded on this phone besides"),
    "report_pdf": _("Report as PDF"),
    "case_page": _("Page of the case"),
    "report_needs_signal": _("The report and the page of the case need signal."),
    "looks_differ": _("Two people saw different things"),
    "looks_differ_help": _(
        "Both are kept. Say which counts; left and right as when looking in carrying travel."
    ),
    "mine": _("Mine"),
    "theirs": _("Theirs"),
    "mine_counts": _("Mine counts"),
    "theirs_counts": _("Theirs counts"),
    "both_count": _("Both count"),
    "refused": _("Refused by the site"),
    "refused_without_words": _("The site refused this without saying why."),
    "try_again": _("Try again"),
    "save_as_file": _("Save as file"),
    "discard": _("Discard"),
    "discard_asks": _("Discard it for good? It is nowhere else."),
    "discard_for_good": _("Discard for good"),
    "keep_it": _("Keep it here"),
}

_ALL = (_EVERYWHERE, _LOOKS, _CASES, _BEFORE, _STATION, _PLACES, _SUSPICION, _CLOSE, _SUMMARY)


def pocket_words() -> Mapping[str, Words]:
    """Every word of the screens, each under its own name."""
    return {name: text for group in _ALL for name, text in group.items()}
