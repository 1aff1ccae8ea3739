"""The tables, as numbered migrations. A migration is never edited after release; a change is a new one below.

Facts, standings, messages and the journal only ever grow. Rows of the state tables (STATE) change, but only through
journal.py, which keeps the row before and after: that is what undo, audit and export stand on.
"""

from __future__ import annotations

from collections.abc import Callable

from sqlite_utils import Database

# Tables whose rows may change, and only through journal.py.
STATE = ("roster", "wait", "pending", "reminder", "conversation", "account", "invite")
# Tables that only grow: who said what, what was understood, what is in force, what changed.
RECORD = ("message", "fact", "standing", "reversal", "journal", "import_row", "worked", "worked_from", "seal")
# The bot's own working tables: no part of the record.
WORK = ("inbox", "outbox", "pulse", "removal")
# Kept apart from all of it, encrypted, and never exported.
SECRET = ("code",)

Migration = Callable[[Database], None]


def m001_first_tables(db: Database) -> None:
    """The record, the state and the two boxes."""
    for statement in _M001.split(";"):
        if statement.strip():
            db.conn.execute(statement)


_M001 = """
create table message (
  id integer primary key,
  kind text not null check (kind in ('said', 'edited', 'pressed', 'tick', 'import')),
  chat text not null,
  ref text,
  who text not null,
  at real not null,
  sent_at real,
  stored_at real not null,
  text text not null,
  reply_to text,
  topic text,
  photo text,
  file text,
  earlier integer references message (id)
) strict;
create unique index message_once on message (chat, ref) where kind = 'said';
create index message_who on message (who, id);
create index message_earlier on message (earlier) where earlier is not null;

create table fact (
  id integer primary key,
  message_id integer not null references message (id),
  kind text not null,
  tank text,
  vat text,
  name text,
  value real,
  unit text,
  at real not null,
  who text not null,
  item text not null
) strict;
create index fact_series on fact (tank, name, at);
create index fact_message on fact (message_id);
create index fact_kind on fact (kind, at);
create index fact_time on fact (tank, at);

create table standing (
  id integer primary key,
  fact_id integer not null references fact (id),
  message_id integer not null references message (id),
  what text not null check (what in ('void', 'restore', 'confirm')),
  reason text not null,
  at real not null
) strict;
create index standing_fact on standing (fact_id, id);
create index standing_message on standing (message_id);

create table reversal (
  id integer primary key,
  message_id integer not null references message (id),
  target_id integer not null references message (id),
  what text not null check (what in ('undo', 'put_back'))
) strict;
create index reversal_target on reversal (target_id, id);

create table journal (
  id integer primary key,
  message_id integer not null references message (id),
  tab text not null,
  row_id integer not null,
  before text,
  after text,
  undoes integer references journal (id)
) strict;
create index journal_message on journal (message_id);
create index journal_row on journal (tab, row_id, id);

create table seal (
  message_id integer primary key references message (id),
  hash text not null
) strict;

create table roster (
  id integer primary key autoincrement,
  kind text not null check (kind in ('team', 'person', 'client', 'tank', 'vat')),
  name text not null,
  active integer not null default 1,
  data text not null,
  unique (kind, name)
) strict;

create table account (
  id integer primary key autoincrement,
  service text not null,
  number text not null,
  person text not null,
  active integer not null default 1,
  unique (service, number)
) strict;

create table invite (
  id integer primary key autoincrement,
  code_hash text not null unique,
  person text,
  role text not null,
  expires_at real not null,
  used_at real
) strict;

create table wait (
  id integer primary key autoincrement,
  kind text not null,
  step text,
  tank text,
  vat text,
  subject text,
  owner text not null,
  chat text not null,
  topic text,
  started_at real not null,
  minutes real not null,
  due_at real not null,
  state text not null check (state in ('running', 'asked', 'gate', 'done', 'stopped')),
  next_at real,
  rung integer not null default 0,
  ended_at real,
  fact_id integer references fact (id),
  data text not null default '{}'
) strict;
create index wait_next on wait (next_at) where next_at is not null;
create index wait_open on wait (state) where state in ('running', 'asked', 'gate');

create table pending (
  id integer primary key autoincrement,
  chat text not null,
  who text not null,
  message_id integer not null references message (id),
  why text not null,
  item text not null,
  options text not null default '[]',
  state text not null check (state in ('open', 'waiting', 'answered', 'dropped')),
  asked_at real,
  asked_again integer not null default 0,
  data text not null default '{}'
) strict;
create index pending_open on pending (chat, state);

create table reminder (
  id integer primary key autoincrement,
  kind text not null,
  at real not null,
  who text,
  chat text,
  tank text,
  state text not null check (state in ('set', 'done', 'off')),
  fact_id integer references fact (id),
  data text not null default '{}'
) strict;
create index reminder_next on reminder (at) where state = 'set';

create table conversation (
  id integer primary key autoincrement,
  chat text not null unique,
  who text,
  tank text,
  tank_at real,
  last_at real,
  data text not null default '{}'
) strict;

create table inbox (
  id integer primary key,
  update_id integer not null unique,
  chat text not null,
  raw text not null,
  received_at real not null,
  done_at real,
  error text
) strict;
create index inbox_open on inbox (chat, id) where done_at is null;

create table outbox (
  id integer primary key,
  message_id integer references message (id),
  chat text not null,
  topic text,
  text text not null,
  buttons text not null default '[]',
  files text not null default '[]',
  unasked integer not null default 0,
  sound integer not null default 0,
  urgent integer not null default 0,
  reply_to text,
  created_at real not null,
  sent_at real,
  ref text,
  tries integer not null default 0,
  next_try_at real,
  parked text
) strict;
create index outbox_open on outbox (id) where sent_at is null and parked is null;
create index outbox_ref on outbox (chat, ref);
create index outbox_chat on outbox (chat, id);

create table pulse (
  name text primary key,
  at real not null,
  data text not null default '{}'
) strict;
"""


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


def _only_grows(db: Database, table: str) -> None:
    for what in ("update", "delete"):
        db.conn.execute(
            f"create trigger {table}_no_{what} before {what} on {table}"
            f" begin select raise(abort, 'the record only grows: {table}'); end"
        )


MIGRATIONS: tuple[Migration, ...] = (
    m001_first_tables, m002_the_record_only_grows, m003_rows_of_imported_files, m004_answers_and_codes,
    m005_open_waits_found_fast, m006_next_message_of_each_chat_found_fast,
)  # fmt: skip
