"""Why files could not be written, for people."""

from django.utils.translation import gettext_lazy as _

from plant.models import ExchangeRun

_FAILURES = {
    "begun_too_often": _("Three workers began it and none ended it. It is tried again when due."),
    "failed": _("Something went wrong here; the log says what. It is tried again when due."),
    "files_are_off": _("Files are off on this server: LOOPWRIGHT_EXCHANGE is not set."),
    "folder_refused": _("The folder could not be written to. Nothing is lost; mend it, run again."),
    "word_missing": _("The files wait."),
}


def failure_of(run: ExchangeRun) -> str:
    if not run.refusal:
        return ""
    words = str(_FAILURES.get(run.refusal, run.refusal))
    return f"{words} {run.detail}".strip()
