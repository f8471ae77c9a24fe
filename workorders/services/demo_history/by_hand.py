"""Orders that no case asked for: somebody saw what was due; told as far as the plan says."""

from plant.roles import Role
from workorders.services import raising_by_hand
from workorders.services.demo_history import mending
from workorders.services.demo_history.plot import HandPlan
from workorders.services.demo_history.scene import Scene, Story
from workorders.services.raising_by_hand import WorkWanted


def tell_by_hand(scene: Scene, plan: HandPlan) -> Story:
    """From the planner's own idea to where the order stands."""
    yield scene.now
    order = raising_by_hand.raise_by_hand(
        conveyor=scene.conveyor,
        wanted=WorkWanted(
            title=plan.title,
            component=plan.component,
            work_method=plan.work_method,
            steps=plan.steps,
        ),
        by=scene.somebody(Role.PLANNER),
        now=scene.now,
    )
    yield from mending.mend(scene, order, plan.stands)
    if plan.stands is None:
        yield scene.clock.later(8, 60, by_day=True)
        mending.prove(scene, order, passed=True)
