"""Two small bots to hold ours against, on the same library's stock polling: `-m tests.bench.echo_bots KIND URL DB`.

`echo` answers with the text; `row` commits one row a message first (SQLite, write-ahead log, full synchronisation).
"""

import logging
import sqlite3
import sys

from telegram.ext import ApplicationBuilder, MessageHandler, filters

from tests.loopback.service import TOKEN


def main(kind, url, path):
    logging.basicConfig(level=logging.WARNING)
    conn = _opened(path) if kind == "row" else None

    async def answer(update, context):
        if conn:
            conn.execute("insert into said (chat, text) values (?, ?)", [update.message.chat_id, update.message.text])
        await update.message.reply_text(update.message.text)

    app = ApplicationBuilder().token(TOKEN).base_url(url).base_file_url(url.replace("/bot", "/file/bot")).build()
    app.add_handler(MessageHandler(filters.TEXT, answer))
    app.run_polling()


def _opened(path):
    conn = sqlite3.connect(path, isolation_level=None)
    conn.execute("pragma journal_mode = wal")
    conn.execute("pragma synchronous = full")
    conn.execute("create table said (id integer primary key, chat integer, text text)")
    return conn


if __name__ == "__main__":
    main(*sys.argv[1:])
