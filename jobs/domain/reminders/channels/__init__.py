"""The channels: one module each, with the people it reaches and how it sends one message.

``send`` returns once the message has been accepted. ``NotSent`` means that certainly nothing went out. After
any other error a message may have gone out, so a retry uses the same message id.
"""
