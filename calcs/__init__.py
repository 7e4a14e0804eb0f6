"""Trade calculations: values in, values out. No clock, no database, no web framework.

Lengths are integers of 1/8 micrometre, times whole seconds, other figures ``Decimal``; results carry sources.

===========  =========================================================================
errors       what a calculation raises
guards       checks the value classes share
units        reading and writing lengths, temperatures, durations, percentages
tables       the published figures the rest looks up
curing       glue and finish sheets, and when a joint or a coat is ready
lumber       board feet, rough thickness, boards to buy
layout       strips of an edge-glued top
emc          moisture content that air brings wood to, and dew point
movement     change of size with moisture, and the species table
finishing    film thickness, spreading rate, amount of finish and coats
weight       weight of a top
lifting      what one person may lift, and how many people a top needs
invoice      sums of an invoice
===========  =========================================================================
"""
