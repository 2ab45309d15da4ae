"""PostgreSQL: one SELECT on a server, in a read-only transaction, row by row."""

from __future__ import annotations

import hashlib
import os
from typing import Any

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.profile import Profile
from fleetstats.sources.raw_sheet import RawSheet
from fleetstats.sources.sql import FETCHED, LONGEST_SECONDS, query_failed, sheet_of_query

PASSWORD, ADDRESS = "FLEETSTATS_DATABASE_PASSWORD", "FLEETSTATS_DATABASE_URL"


def server_sheet(profile: Profile, name: str) -> tuple[RawSheet, str]:
    """What the profile's query selects on its PostgreSQL server, and the sha256 of it; name: of the profile.

    The password comes from the environment variable FLEETSTATS_DATABASE_PASSWORD, or the whole address from FLEETSTATS_DATABASE_URL. The rows come in
    a read-only transaction, in the order in which the server sends them: a query without ORDER BY may give another fingerprint for the same rows.
    Raises InputRefused where psycopg is not installed, the server cannot be reached, or the query is refused, runs too long or gives too much.
    """
    file = f"postgresql:{name}"
    psycopg = _psycopg(file)
    digest = hashlib.sha256()
    try:
        with psycopg.connect(**_address(profile, file)) as connection:
            connection.read_only = True
            connection.execute(f"set local statement_timeout = '{LONGEST_SECONDS}s'")
            with connection.cursor(name="fleetstats") as cursor:
                cursor.itersize = FETCHED
                cursor.execute(str(profile.format.query))
                columns = [str(column.name) for column in cursor.description]
                digest.update(repr(columns).encode())
                sheet = sheet_of_query(columns, cursor, file, profile.format, digest)
            connection.rollback()
    except (psycopg.Error, ValueError, OverflowError) as error:
        raise query_failed(_without_secret(str(error)), file) from None
    return sheet, digest.hexdigest()


def _psycopg(file: str) -> Any:
    try:
        import psycopg
    except ImportError:
        raise InputRefused(Problem(what="reading from a server needs the package psycopg", file=file,
                                   remedy='Run: pip install "fleetstats[server]".')) from None
    return psycopg


def _address(profile: Profile, file: str) -> dict[str, object]:
    """How to reach the server: the parts of the profile and the password, or the address of the environment."""
    server, url = profile.server, os.environ.get(ADDRESS)
    shared: dict[str, object] = {"connect_timeout": 10, "application_name": "fleetstats"}
    if server is not None:
        return shared | {"host": server.host, "port": server.port, "dbname": server.database, "user": server.user, "password": os.environ.get(PASSWORD)}
    if url:
        return shared | {"conninfo": url}
    raise InputRefused(Problem(what="no server is named", file=file, wanted=f"[server] in its profile, or {ADDRESS}",
                               remedy="Write [server] with host, port, database and user into the profile."))


def _without_secret(text: str) -> str:
    """A message without what stands in the environment; one about the address itself may quote any part of it and is not shown."""
    secrets = [os.environ.get(PASSWORD), os.environ.get(ADDRESS)]
    if secrets[1] and not _well_formed(secrets[1]):
        return f"{ADDRESS} is no address of a server; signs such as % and blanks in a password are written %25 and %20"
    for secret in secrets:
        text = text.replace(secret, "(hidden)") if secret else text
    return text


def _well_formed(address: str) -> bool:
    import psycopg
    from psycopg.conninfo import conninfo_to_dict

    try:
        conninfo_to_dict(address)
    except psycopg.Error:
        return False
    return True
