"""The register's vocabulary in the reader's language."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.loop.vocabulary import ComponentKind, Consequence, Run, Side, TakeUpKind, Zone

Words = str | Promise

KIND_WORDS: dict[ComponentKind, Words] = {
    ComponentKind.TAIL_PULLEY: _("tail pulley"),
    ComponentKind.HEAD_PULLEY: _("head pulley"),
    ComponentKind.DRIVE_PULLEY: _("drive pulley"),
    ComponentKind.SNUB_PULLEY: _("snub pulley"),
    ComponentKind.BEND_PULLEY: _("bend pulley"),
    ComponentKind.TAKE_UP_PULLEY: _("take-up pulley"),
    ComponentKind.IMPACT_IDLERS: _("impact idlers"),
    ComponentKind.TRANSITION_IDLERS: _("transition idlers"),
    ComponentKind.TROUGHING_IDLERS: _("troughing idlers"),
    ComponentKind.RETURN_IDLERS: _("return idlers"),
    ComponentKind.VEE_RETURN_IDLERS: _("vee return idlers"),
    ComponentKind.SELF_ALIGNING_IDLER: _("self-aligning idler"),
    ComponentKind.LOAD_POINT: _("load point"),
    ComponentKind.SKIRTBOARD: _("skirtboard"),
    ComponentKind.BELT_CLEANER: _("belt cleaner"),
    ComponentKind.PLOUGH: _("plough"),
    ComponentKind.STRUCTURE_SECTION: _("structure section"),
    ComponentKind.TAKE_UP_FRAME: _("take-up frame"),
}
RUN_WORDS: dict[Run, Words] = {Run.CARRYING: _("carrying"), Run.RETURN: _("return")}
SIDE_WORDS: dict[Side, Words] = {Side.LEFT: _("left"), Side.RIGHT: _("right")}
TAKE_UP_WORDS: dict[TakeUpKind, Words] = {
    TakeUpKind.GRAVITY: _("gravity"),
    TakeUpKind.HORIZONTAL: _("horizontal"),
    TakeUpKind.SCREW: _("screw"),
    TakeUpKind.FIXED: _("fixed"),
}
CONSEQUENCE_WORDS: dict[Consequence, Words] = {
    Consequence.WHOLE_LINE: _("the whole line stands"),
    Consequence.PART: _("a part of the plant stands"),
    Consequence.WAY_ROUND: _("there is a way round it"),
}
ZONE_WORDS: dict[Zone, Words] = {
    Zone.TAIL: _("tail"),
    Zone.LOAD: _("load zone"),
    Zone.CARRYING_LOWER: _("lower carrying run"),
    Zone.CARRYING_MID: _("mid carrying run"),
    Zone.CARRYING_UPPER: _("upper carrying run"),
    Zone.HEAD: _("head"),
    Zone.RETURN_BEFORE: _("return run before the take-up"),
    Zone.BEND: _("bend"),
    Zone.TAKE_UP: _("take-up"),
    Zone.RETURN_AFTER: _("return run after the take-up"),
}
