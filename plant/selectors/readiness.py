"""Whether this site can serve: its database answers and has every table."""

import logging

from django.core.exceptions import ImproperlyConfigured
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils.translation import gettext as _

logger = logging.getLogger(__name__)


def what_is_not_ready() -> str | None:
    """One sentence for whoever looks after the machine, or None when all is well."""
    try:
        executor = MigrationExecutor(connection)
        missing = executor.migration_plan(executor.loader.graph.leaf_nodes())
    except (DatabaseError, ImproperlyConfigured):
        # The reason may hold addresses, and the asker is nobody in particular: it goes to the log.
        logger.exception("The database does not answer.")
        return _("The database does not answer.")
    if missing:
        return _("%(count)d migrations are missing; run manage.py migrate.") % {
            "count": len(missing)
        }
    return None
