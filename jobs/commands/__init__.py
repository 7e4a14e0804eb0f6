"""Everything that changes the shop: one file per noun, one function per verb.

A command checks the rules against state and appends events, or refuses with a named error. It takes a
``Call`` first (who, when, which key); see ``jobs.log``.
"""
