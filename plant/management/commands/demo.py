"""The whole site with an invented plant, in one command."""

import logging
import os
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.utils import timezone

from plant.errors import DomainError
from plant.services import (
    demo_address,
    demo_certificates,
    demo_database,
    demo_names,
    demo_site,
)
from plant.services.demo_people import DEMO_PEOPLE
from plant.services.demo_site import Tls

# A machine with many networks has more than anybody wants to read.
_MOST_ADDRESSES = 4


class Command(BaseCommand):
    help = "Starts the site with the invented plant Larkwater Terminal and prints the sign-ins."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="Address to listen on.")
        parser.add_argument("--port", type=int, default=8000, help="Port to listen on; 0: any.")
        parser.add_argument(
            "--tls",
            action="store_true",
            help="Serve https with a certificate of this machine's own, as phones need it to walk "
            "a belt without signal.",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if "LOG_LEVEL" not in os.environ:
            # Somebody looks at this terminal for the address, not for records.
            logging.getLogger().setLevel(logging.WARNING)
        host = options["host"]
        try:
            port = demo_address.check(host, options["port"])
            tls = _tls(host) if options["tls"] else None
            demo_database.prepare(self._say)
            self._say("Starting the site ...")
            demo_site.serve(host, port, lambda: self._welcome(host, port, tls), tls)
        except (DomainError, DatabaseError, ImproperlyConfigured) as error:
            raise CommandError(str(error)) from error
        self._say("Stopped. The data stays for next time.")

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

    def _welcome(self, host: str, port: int, tls: Tls | None) -> None:
        wide = max(len(person.role.value) for person in DEMO_PEOPLE)
        user_wide = max(len(person.username) for person in DEMO_PEOPLE)
        lines = [
            "",
            f"Loopwright is ready at {_address(demo_address.reachable_name(host), port, tls)}",
            "",
            f"  {'role':<{wide}}  {'sign in as':<{user_wide}}  password",
        ]
        for person in DEMO_PEOPLE:
            lines.append(
                f"  {person.role.value:<{wide}}  {person.username:<{user_wide}}  {person.password}"
            )
        if tls is not None:
            lines += ["", *_how_to_trust(host, port, tls)]
        if host not in demo_address.LOCAL_HOSTS:
            lines += ["", "Everybody on your network can sign in with these: invented data only."]
        self._say("\n".join([*lines, "", "Ctrl-C stops everything; the data stays."]))


def _tls(host: str) -> Tls:
    names = demo_names.names_of_this_machine(host, *settings.ALLOWED_HOSTS)
    return Tls(demo_certificates.ready(names, timezone.now()), names)


def _address(name: str, port: int, tls: Tls | None) -> str:
    return f"{'https' if tls else 'http'}://{name}:{port}/"


def _how_to_trust(host: str, port: int, tls: Tls) -> list[str]:
    certificates = tls.certificates
    names = demo_address.names_for_others(host, tls.names.addresses)
    others = [_address(one, port, tls) for one in names[:_MOST_ADDRESSES]]
    lines = [f"Its root certificate: {certificates.root}", f"  SHA-256 {certificates.fingerprint}"]
    if certificates.replaces_earlier_root:
        lines.append("  It is new: what trusted an earlier one has to trust this one again.")
    if not others:
        return [*lines, "Only this machine reaches it; for a phone, add --host 0.0.0.0."]
    return [
        f"On your network: {'  '.join(others)}",
        *lines,
        f"A phone comes to trust it so: open {others[0]}local-root.crt there, go on past the "
        "warning, and install it (Android: Settings, Security, Install a certificate, CA "
        "certificate; iPhone: Settings, Profile Downloaded, then General, About, Certificate "
        "Trust Settings).",
    ]
