"""Views, one module per noun: a shape, a call, a command or a query, an answer."""
