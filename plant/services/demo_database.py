"""Gets a database ready for the demo: all tables, and the invented plant in them once."""

from collections.abc import Callable

from django.core.management import call_command
from django.db import OperationalError, connection

from plant.errors import DomainError
from plant.models import Plant

Say = Callable[[str], None]


class HoldsRealPlant(DomainError):
    code = "database_holds_real_plant"


class DatabaseNotThere(DomainError):
    code = "database_not_there"


def prepare(say: Say) -> None:
    """Migrate and load the demo plant when it is missing.

    Refuses with DatabaseNotThere, and with HoldsRealPlant before anything is written to a
    database in use.
    """
    _reach()
    _refuse_real_plant()
    say("Preparing the database ...")
    call_command("migrate", interactive=False, verbosity=0)
    if not Plant.objects.filter(is_demo=True).exists():
        say("Loading the demo plant, Larkwater Terminal (once; takes a minute or two) ...")
    call_command("load_demo", verbosity=0)
    # The processes that serve open their own.
    connection.close()


def _reach() -> None:
    try:
        connection.ensure_connection()
    except OperationalError as error:
        if connection.settings_dict["ENGINE"] == "plant.config.local_postgres":
            raise  # It has said what to do.
        raise DatabaseNotThere(
            f"The database does not answer: {str(error).strip()}\n"
            "Correct DATABASE_URL, or unset it to use the PostgreSQL that comes with Loopwright."
        ) from error


def _refuse_real_plant() -> None:
    if Plant._meta.db_table not in connection.introspection.table_names():
        return
    real = Plant.objects.filter(is_demo=False).first()
    if real is not None and not Plant.objects.filter(is_demo=True).exists():
        raise HoldsRealPlant(
            f"This database holds the plant {real.name}, and invented data must not be mixed "
            "with it. Name another database in DATABASE_URL, or unset it and name an empty "
            "folder in LOOPWRIGHT_DATA."
        )
