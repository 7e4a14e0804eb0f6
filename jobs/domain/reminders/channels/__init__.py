"""The ways to a person: one module each, with who can be reached and how one message goes out.

``send`` returns once the message has been taken. ``NotSent`` says that surely nothing went out; any other
error leaves open whether it did, and the same message id is used again.
"""
