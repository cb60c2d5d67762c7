"""Steps from one schema of the record to the next, run by Alembic when an older file is opened."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, Engine

HEAD = "0002"


def bring_up_to_date(engine: Engine) -> None:
    """Run the steps that the file lacks; nothing when it has them all."""
    with engine.connect() as connection:
        if _revision(connection) == HEAD:
            return
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent))
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        config.attributes["connection"] = connection
        command.upgrade(config, HEAD)


def _revision(connection: Connection) -> str | None:
    found = connection.exec_driver_sql(
        "SELECT name FROM sqlite_master WHERE type='table' AND name='alembic_version'"
    ).first()
    if found is None:
        return None
    row = connection.exec_driver_sql("SELECT version_num FROM alembic_version").first()
    return None if row is None else str(row[0])
