"""How far over, as a person says it; one place, so that phone and pages say the same.

Data, files and the interface keep the words of `Degree`.
"""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.inference.vocabulary import Degree

DEGREE_WORDS: dict[Degree, str | Promise] = {
    Degree.CENTRED: _("centred"),
    Degree.SLIGHT: _("a little"),
    Degree.HALF: _("half"),
    Degree.HARD_OVER: _("hard over"),
}
