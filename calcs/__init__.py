"""Trade calculations: values in, values out. No clock, no database, no web framework.

Lengths are integers of 1/8 micrometre, times whole seconds, other figures ``Decimal``; results carry sources.

==========  ==========================================================================
lumber      rough lumber a top needs, boards to buy, boards at hand
tally       board feet of one board and of many
quarters    rough thicknesses, what they finish at, what surfacing leaves to do
layout      strips of an edge-glued top
joinery     slots for biscuits, dowels, loose tenons; with slot_plan, joiners, recesses, spacing
drawing     a layout with all that is marked on it, to scale, as SVG
gluing      amount of glue, stages of a glue-up; with assembly, staging, spread
clamping    clamps and cauls, force of one joint; with pressure
sanding     grits, minutes, discs
stiffening  steel channels in the underside; with across
attachment  fixing a top to its base so that it may move; with swing
breadboard  tongue, pegs and reveal of a breadboard end; with swing
species     species of wood: coefficients and specific gravity
air         dew point, and whether a surface may be coated
emc         moisture content that air brings wood to
movement    change of size with moisture; with moving, which takes your own coefficient and many at once
settling    when stock has settled to the shop; with approach
sheets      product sheets of glues and finishes: classes and a maker's own; with product_words
curing      when a joint or a coat is ready; over measured air hardening, with rates, age, series, points
finishing   film thickness, spreading rate, amount of finish and coats; with finish_job, cans, layers
sag         how far a top bends, at once and for good; with loaded_top, beam, stiffness
weight      weight of a top with its steel and fittings
lifting     what one person may lift, and how many people a top needs; with lift_top
flips       the fewest turns of a top under what must come first
access      doors, turns, lifts and ceilings on the way in; with corners
costing     a price, line by line
invoice     sums of an invoice
units       reading and writing lengths; with amounts, all that people type with a unit
errors      what a calculation raises
tables      the published figures, each row with where it comes from
catalogue   every calculation by name, asked with what was typed; with answers, examples
inputs      what a calculation asks for, stated once beside each field; with kinds, measures, told
==========  ==========================================================================

Shared inside: ``guards`` (checks), ``typed`` (text made plain), ``rounding``.
"""
