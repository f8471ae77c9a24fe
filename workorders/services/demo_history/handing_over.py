"""What the shifts of an invented plant told each other."""

from datetime import datetime, time, timedelta

from plant.models import Plant
from plant.roles import Role
from workorders.services import handing_over
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read


def hand_over(plant: Plant, cast: Cast, now: datetime) -> None:
    """Technicians write, a planner takes over; what would be later than now was said yesterday."""
    technicians, planners = cast.by_role[Role.TECHNICIAN], cast.by_role[Role.PLANNER]
    notes = read("hand_over.yaml")["notes"]
    for number, said in enumerate(one for one in notes if one["plant"] == plant.code):
        written_at = _then(plant, said["days_ago"], said["at"], now)
        by = technicians[number % len(technicians)]
        note = handing_over.write_note(plant=plant, words=said["text"], by=by, now=written_at)
        if said.get("taken_over"):
            later = written_at + timedelta(minutes=12)
            handing_over.take_over(note_id=note.pk, by=planners[0], now=later)


def _then(plant: Plant, days_ago: int, at: str, now: datetime) -> datetime:
    day = plant.day_of(now) - timedelta(days=days_ago)
    then = datetime.combine(day, time.fromisoformat(at), plant.zone_info)
    return then if then < now else then - timedelta(days=1)
