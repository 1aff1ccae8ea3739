"""The tables, as numbered migrations. A migration is never edited after release; a change is a new one below.

Facts, standings, messages and the journal only ever grow. Rows of the state tables (STATE) change, but only through
journal.py, which keeps the row before and after: that is what undo, audit and export stand on.
"""

from __future__ import annotations

from collections.abc import Callable

from sqlite_utils import Database

from bot.store.first_tables import FIRST_TABLES

# Tables whose rows may change, and only through journal.py.
STATE = ("roster", "wait", "pending", "reminder", "conversation", "account", "invite")
# Tables that only grow: who said what, what was understood, what is in force, what changed.
RECORD = ("message", "fact", "standing", "reversal", "journal", "import_row", "worked", "worked_from", "seal")
# Kept apart from all of it, encrypted, and never exported.
SECRET = ("code",)

Migration = Callable[[Database], None]


def m001_first_tables(db: Database) -> None:
    """The record, the state and the two boxes."""
    for statement in FIRST_TABLES.split(";"):
        if statement.strip():
            db.conn.execute(statement)


def m002_the_record_only_grows(db: Database) -> None:
    """The database itself refuses to change or delete a row of the record, whatever statement tries."""
    for table in ("message", "fact", "standing", "reversal", "journal", "seal"):
        _only_grows(db, table)


def m003_rows_of_imported_files(db: Database) -> None:
    """Each row of an imported file as it stood there, and what became of it."""
    db.conn.execute(
        "create table import_row (id integer primary key, message_id integer not null references message (id),"
        " number integer not null, mark text not null, text text not null,"
        " fate text not null check (fate in ('fine', 'doubtful', 'unreadable')), faults text not null,"
        " first_fact integer references fact (id), last_fact integer references fact (id)) strict"
    )
    db.conn.execute("create index import_row_mark on import_row (mark)")
    db.conn.execute("create index import_row_message on import_row (message_id, number)")
    _only_grows(db, "import_row")


def m004_answers_and_codes(db: Database) -> None:
    """What was worked out and from which facts; door codes, encrypted; messages to be taken out of a chat."""
    for statement in _M004.split(";"):
        if statement.strip():
            db.conn.execute(statement)
    for table in ("worked", "worked_from", "code"):
        _only_grows(db, table)


_M004 = """
create table worked (
  id integer primary key,
  message_id integer not null references message (id),
  tank text,
  at real not null,
  item text not null,
  data text not null
) strict;
create index worked_message on worked (message_id);
create index worked_time on worked (tank, at);

create table worked_from (
  id integer primary key,
  message_id integer not null references message (id),
  worked_id integer not null references worked (id),
  fact_id integer not null references fact (id)
) strict;
create index worked_from_fact on worked_from (fact_id);
create index worked_from_message on worked_from (message_id);

create table code (
  id integer primary key,
  message_id integer not null references message (id),
  owner text not null,
  token text not null
) strict;
create index code_owner on code (owner, id);

create table removal (
  id integer primary key,
  chat text not null,
  ref text not null,
  at real not null,
  done_at real
) strict;
create index removal_open on removal (at) where done_at is null;
alter table outbox add column lasts_min real
"""


def m005_open_waits_found_fast(db: Database) -> None:
    """Open waits by their owner, tank and sentence: thousands of them must not slow a ping."""
    for column in ("owner", "tank", "fact_id"):
        name = f"wait_open_{column}"
        db.conn.execute(f"create index {name} on wait ({column}) where state in ('running', 'asked', 'gate')")


def m006_next_message_of_each_chat_found_fast(db: Database) -> None:
    """What waits for delivery, by chat: a long queue must not slow the drain."""
    open_rows = "where sent_at is null and parked is null"
    db.conn.execute(f"create index outbox_waiting on outbox (chat, urgent, id) {open_rows}")


def m007_long_records_answered_fast(db: Database) -> None:
    """One kind of work over all tanks or at one, and the wordings of a message: what is asked must not scan years."""
    db.conn.execute("create index fact_name on fact (kind, name, at)")
    db.conn.execute("create index fact_tank_kind on fact (tank, kind, at)")
    db.conn.execute("create index if not exists message_earlier on message (earlier, id) where earlier is not null")


def _only_grows(db: Database, table: str) -> None:
    for what in ("update", "delete"):
        db.conn.execute(
            f"create trigger {table}_no_{what} before {what} on {table}"
            f" begin select raise(abort, 'the record only grows: {table}'); end"
        )


MIGRATIONS: tuple[Migration, ...] = (
    m001_first_tables, m002_the_record_only_grows, m003_rows_of_imported_files, m004_answers_and_codes,
    m005_open_waits_found_fast, m006_next_message_of_each_chat_found_fast,
    m007_long_records_answered_fast,
)  # fmt: skip
