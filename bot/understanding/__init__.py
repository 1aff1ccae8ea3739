"""Text to items: what a message means. Pure: no store, chat, clock or thread; all it knows is the Situation.

One entrance: `read.read(text, situation) -> Understood`. One mechanism:

1. `text.Text(raw, situation)` holds the message. Each of its properties is looked for once, when first asked for; all
   places are token numbers, `start` included, `stop` not, and each thing found has `.span`, the set of its tokens:
   `tokens`     words, numbers, marks, lines (tokens.py). `token.text` is the plain form with slips mended
                (spelling.py), `token.typed` as written, `token.glued`: nothing stands between it and the token before.
                "no3" is one word; "30g", "ca420", "q3" are two tokens.
   `numbers`    Number: `value`, `others` (the same digits read otherwise), `low`/`high`, `below`/`above`/`about`, `old`
                (corrected on the spot), `share` ("half"), `spoken`. Digits and words alike (numerals.py, spoken.py).
   `measures`   Measure: every number with its unit word, if one follows. `measure.quantity("volume", "mass")` gives a
                Quantity if the unit is of one of these kinds; the order decides what "30g" is.
   `durations`  Duration: `minutes`, `unit`, `overnight`.
   `past`, `ahead`  Instant: `at`, `exact`, `day`, `doubt`; what the words leave open lies behind, or ahead.
   `mentions`   Mention: `options` (tank or vat names), `vat`, `behind`, `whole`, `plausible` (names.py).
   `parameters` Name: where something that is measured is named (parameters.py).
   `hits(table, group)` the phrases of facts/TABLE.toml, group GROUP: Hit(start, stop, meaning), those inside a clear
                name of a tank left out. A word table is `[group]` with `meaning = "phrase, phrase, ..."`; name a new
                table in `lexicon.TABLES`.
   `typed(start, stop)` the words as written, for subjects and parts.
2. Each kind's file offers `claims(text: Text) -> Iterable[Claim]`: everything it could mean, several versions of the
   same if in doubt ("ca 420" and "ca 420 mg"). A Claim has `items`, the tokens it `used`, a `weight` (always from
   `claims.weigh(text.tokens, used, plausible)`; plausible 1 for a plain reading, about 0.5 for a guess, up to 1.5 for a
   fixed phrase that nothing else should break up), and `shares`: tokens it looked at but leaves to others (a question
   that takes "no3 60" as an input when the reading is to be stored as well). Use the words that belong to it, also the
   small ones ("of", "at"), so that it outweighs those that explain less. A file of claims is named in
   `read.PROVIDERS`.
3. `claims.choose` takes the heaviest set of claims of which no two use the same token.
4. `cover` tells what an item leaves open: the tank or vat (from the mentions that were chosen, else the tank in hand),
   the time of readings and events (from the instants that were chosen), other water. So a provider leaves `tank` and
   `at` None, and does not use the tokens of a mention, unless its own words say them (`from_tank`, a task's `due`).
5. `doubts` reads bare numbers by the tank's panel or asks; `settle` makes the items, and turns into Clarify what has no
   tank or no certain day; `leftover` hands back the words that nobody used.
6. A long message is cut (parts.py), and each part is read with the tank that the one before it named last.

Readings in particular: bridges.py leads from a name to its number, pairs.py, unnamed.py and lists.py find every pair,
values.py decides unit and possibility by facts/parameters.toml, strange.py and surroundings.py what stands around it.
"""
