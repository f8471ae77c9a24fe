"""The whole site with an invented plant, in one command."""

import logging
import os
from argparse import ArgumentParser
from typing import Any

from django.core.exceptions import ImproperlyConfigured
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from plant.errors import DomainError
from plant.services import demo_address, demo_database, demo_site
from plant.services.demo_people import DEMO_PEOPLE


class Command(BaseCommand):
    help = "Starts the site with the invented plant Larkwater Terminal and prints the sign-ins."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="Address to listen on.")
        parser.add_argument("--port", type=int, default=8000, help="Port to listen on; 0: any.")

    def handle(self, *args: Any, **options: Any) -> None:
        if "LOG_LEVEL" not in os.environ:
            # Somebody looks at this terminal for the address, not for records.
            logging.getLogger().setLevel(logging.WARNING)
        host = options["host"]
        try:
            port = demo_address.check(host, options["port"])
            demo_database.prepare(self._say)
            self._say("Starting the site ...")
            demo_site.serve(host, port, lambda: self._welcome(host, port))
        except (DomainError, DatabaseError, ImproperlyConfigured) as error:
            raise CommandError(str(error)) from error
        self._say("Stopped. The data stays for next time.")

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

    def _welcome(self, host: str, port: int) -> None:
        wide = max(len(person.role.value) for person in DEMO_PEOPLE)
        user_wide = max(len(person.username) for person in DEMO_PEOPLE)
        lines = [
            "",
            f"Loopwright is ready at http://{demo_address.reachable_name(host)}:{port}/",
            "",
            f"  {'role':<{wide}}  {'sign in as':<{user_wide}}  password",
        ]
        for person in DEMO_PEOPLE:
            lines.append(
                f"  {person.role.value:<{wide}}  {person.username:<{user_wide}}  {person.password}"
            )
        if host not in demo_address.LOCAL_HOSTS:
            lines += ["", "Everybody on your network can sign in with these: invented data only."]
        self._say("\n".join([*lines, "", "Ctrl-C stops everything; the data stays."]))
