# The customer's sheet. Every language has the same messages with the same variables; a test says where one differs.

practice = Practice job. None of this happened on a real vehicle.
title-open = Your vehicle: where the work stands
title-found = Your vehicle: what was found and done
vehicle = Vehicle
vin = Vehicle number
taken-in = Taken in
this-sheet = This sheet
date = { $day } { $month ->
    [1] January
    [2] February
    [3] March
    [4] April
    [5] May
    [6] June
    [7] July
    [8] August
    [9] September
    [10] October
    [11] November
   *[12] December
} { $year }

told-us = What you told us
found = What was found
not-found = The place has not been found yet. The search goes on.
place-in-english = On the workshop's report: { $place }
seen-sound = nothing wrong
seen-marked = covering rubbed or dented, insulation whole
seen-thinned = insulation thinner, no metal seen
seen-bare = metal of the wire seen
seen-severed = wire parted
seen-not-seen = the place could not be seen
opened-there = When it was pressed there, the fuse opened.
chance = By what was seen and tried, this is the cause with a chance of { $percent }.
over-99 = over 99 %
under-1 = under 1 %
rubbed-on = It rubbed on
why = Why
also-hurt = Also hurt
aside = Also noticed, perhaps unrelated

stage-close = From close by
stage-lie = As it lay, before it was touched
stage-lifted = Lifted
stage-repaired = After the repair
stage-other = Photograph

repaired = What was repaired
repaired-nothing = No repair is written down as done.
recommended = Recommended, and not done

checked = Checked before it goes back
undone = { $undone ->
    [one] One of { $of } checks was not done.
   *[other] { $undone } of { $of } checks were not done.
}
done = done
not-done = not done
doubt = There is an open question about it: please ask us.
held-for = { $minutes } min in which the fuse held
item-right-fuse = The right fuse is fitted
item-pressed-again = The repaired place was pressed again and the fuse held
item-draw-measured = The current was measured
item-all-worked = Everything on this fuse was switched on once
item-protection-back = Covers and protection are back
item-cautions-undone = What was disconnected for safety is connected again
item-road-test = Test drive

estimate = Estimate
for-done = For what was done
for-recommended = For what is recommended
of-that-tax = of that { $tax } { $amount }
unpriced = { $count ->
    [one] One item has no price yet and is not in it.
   *[other] { $count } items have no price yet and are not in it.
}

next-time = If it happens again
next-breaker = Switch off what has gone dead, for the breaker closes again by itself and the wire heats each time.
next-fuse = Do not put in one fuse after another, and never a larger one or a piece of wire: the fuse keeps the wire from burning.
next-note = Write down what you were doing: standing or driving, bump or bend, what was switched on, warm or cold. Bring it back with this sheet. If you smell burning or see smoke, stop, switch off, get out, and call for help.
small-print = A wire may rub in a second place that has not shown yet; no test rules that out. The maker's instructions come first. This sheet describes the work on this fuse and is no inspection of the whole vehicle.
