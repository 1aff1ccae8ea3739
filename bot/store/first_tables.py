"""The tables of the first release, as its migration makes them (schema.py)."""

FIRST_TABLES = """
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
