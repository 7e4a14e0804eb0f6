"""Trade calculations: values in, values out. No clock, no database, no web framework.

Lengths are integers of 1/8 micrometre, times whole seconds, other figures ``Decimal``; results carry sources.

==========  ==========================================================================
lumber      board feet, rough thickness, boards to buy
layout      strips of an edge-glued top
species     species of wood: coefficients and specific gravity
air         dew point, and whether a surface may be coated
emc         moisture content that air brings wood to
movement    change of size with moisture
sheets      product sheets of glues and finishes: classes and a maker's own
curing      when a joint or a coat is ready
finishing   film thickness, spreading rate, amount of finish and coats
weight      weight of a top
lifting     what one person may lift, and how many people a top needs
invoice     sums of an invoice
units       reading and writing lengths; with amounts, all that people type with a unit
errors      what a calculation raises
tables      the published figures, each row with where it comes from
==========  ==========================================================================

Shared inside: ``guards`` (checks), ``typed`` (text made plain), ``rounding``.
"""
