"""What is asked: text -> Question(topic, inputs, tank).

The inputs are named as contract section 2 names them; the whole convention, with the words that an input may be
(`ask`, `to_unit`, `reference`, `model`, `strength_basis`, `form` ...), stands at the head of facts/topics.toml.
Each number stays in the unit it was said in; nothing is converted, guessed or refused here: that is the work of science.
"""
