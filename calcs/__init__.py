"""Trade calculations: values in, values out. No clock, no database, no web framework.

Lengths are integers of 1/8 micrometre, times whole seconds, other figures ``Decimal``; results carry their
sources. A file imports from its own room or from rooms above it in this list; `calcs.catalogue` asks them all
by name.

==========  ==========================================================================
tables      published figures as CSV, each row with its source and provenance
kit         units of length, amounts, rounding, errors and checks
materials   species of wood, product sheets of glues and finishes
asking      inputs and titles stated beside each field, reading of typed text, figures in words
wood        dew point, equilibrium moisture, movement, settling, stiffness, weight
lumber      board feet, rough thicknesses, strips of a top, boards to buy
curing      hardening of joints and coats over any air: laws, rates, ages, series of air
joints      slots for biscuits, dowels and loose tenons, clear of recesses
glue_up     amount of glue, stages of a glue-up, clamps and pressure
finish      films, amounts, cans and calendar of coats, layers, sanding
handling    limits of lifting, teams, turns of a top, doors and stairs on its way
structure   sag, tipping, stiffening channels, fixing to a base, breadboard ends
money       price line by line, sums of an invoice, allocation of payments
drawing     a layout with all that is marked on it, to scale, as SVG
==========  ==========================================================================
"""
