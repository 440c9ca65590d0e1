# English as the screens say it.

# words.rs
words-unpaired = There is a desk at this address, but this phone is not paired with it: it gets nothing from here.
words-key-on = Key on
words-key-on-low = key on
words-engine-running = Engine running
words-engine-running-low = engine running
words-lamps-on = Lamps on
words-lamps-on-low = lamps on
words-brake = Brake pressed
words-brake-low = brake pressed
words-reverse = Reverse engaged
words-reverse-low = reverse engaged
words-wipers = Wipers on
words-wipers-low = wipers on
words-turn-left = Indicator left
words-turn-left-low = indicator left
words-turn-right = Indicator right
words-turn-right-low = indicator right
words-door-open = Door open
words-door-open-low = door open
words-accessory = Accessory on
words-accessory-low = accessory on
words-nothing-on = nothing switched on

# phrases
words-phrase-clip = Clip missing
words-phrase-grommet = Grommet torn
words-phrase-copper = Rubbed through to copper
words-phrase-edge = Rests on a sharp edge
words-phrase-tape = Tape come loose
words-phrase-corrosion = Green corrosion
words-phrase-pinched = Pinched
words-phrase-repaired = Repaired here before

# seen
words-seen-sound = Sound
words-seen-sound-low = sound
words-seen-marked = Marked
words-seen-marked-low = marked
words-seen-thinned = Thinned
words-seen-thinned-low = thinned
words-seen-bare = Bare
words-seen-bare-low = bare
words-seen-severed = Severed
words-seen-severed-low = severed
words-seen-not-seen = Not seen
words-seen-not-seen-low = not seen
words-means-sound = nothing wrong
words-means-marked = rubbed, insulation whole
words-means-thinned = insulation thin, no copper
words-means-bare = copper shows
words-means-severed = wire parted
words-means-not-seen = could not see the place

# motion, heat
words-still = Standing still
words-still-low = standing still
words-smooth = Smooth road
words-smooth-low = smooth road
words-rough = Rough road
words-rough-low = rough road
words-turning = In a turn
words-turning-low = in a turn
words-door-moved = A door or lid moved
words-door-moved-low = a door or lid moved
words-cold = Cold
words-cold-low = cold
words-warm = Warm
words-warm-low = warm
words-hot = Hot
words-hot-low = hot

# vehicle
words-engine-front = In front
words-engine-mid = Under or behind the front seats
words-engine-rear = At the rear
words-size-short = Short
words-size-medium = Usual, or only one
words-size-long = Long
words-option-fitted = On this vehicle
words-option-fitted-low = on this vehicle
words-option-absent = Not on this vehicle
words-option-absent-low = not on this vehicle
words-option-removed = Removed, wiring left
words-option-removed-low = removed, wiring left

# stage
words-stage-lie = As it lies
words-stage-lie-low = as it lies
words-stage-lifted = Lifted
words-stage-lifted-low = lifted
words-stage-close = Close, with scale
words-stage-close-low = close, with scale
words-stage-repaired = After the repair
words-stage-repaired-low = after the repair
words-other = Other
words-other-low = other

# fuse
words-fuse-blade = Blade
words-fuse-mini = Mini blade
words-fuse-maxi = Maxi blade
words-fuse-cartridge = Slow cartridge
words-fuse-breaker = Breaker, resets by itself
words-fresh-not-tried = Not tried yet
words-fresh-closed = It stays closed
words-fresh-holds = It holds
words-fresh-trips = It trips at once, again and again
words-fresh-opens = It opens at once

# figures
words-minutes-under = under 1 min
words-minutes-plain = { $n } min
words-minutes-hours = { $n } h { $n2 } min
words-amperes = { $n } A
words-kilobytes = { $n } kB
words-megabytes = { $n } MB
words-gigabytes = { $n } GB
words-both = Both
words-left = Left
words-right = Right
words-no-figure = “{ $text }” is no number from 0 up. What was kept before stays.
words-too-long = “{ $text }” is more than any vehicle is driven. What was kept before stays.
words-one-load = 1 load
words-loads = { $n } loads
words-day-1 = { $day } January { $year }
words-day-2 = { $day } February { $year }
words-day-3 = { $day } March { $year }
words-day-4 = { $day } April { $year }
words-day-5 = { $day } May { $year }
words-day-6 = { $day } June { $year }
words-day-7 = { $day } July { $year }
words-day-8 = { $day } August { $year }
words-day-9 = { $day } September { $year }
words-day-10 = { $day } October { $year }
words-day-11 = { $day } November { $year }
words-day-12 = { $day } December { $year }
words-bump = Bump
words-bump-low = bump
words-bend = Bend
words-bend-low = bend

# acts
words-act-opened-job = job opened
words-act-concern = concern
words-act-vehicle = vehicle
words-act-fuse = fuse
words-act-circuit = circuit taken over
words-act-shop = what the shop has learned
words-act-load = load “{ $load }”
words-act-load-removed = load { $load } removed
words-act-quoted = “{ $what }”
words-act-mark = mark “{ $mark }”
words-act-mark-off = mark taken off
words-act-touch = how long a touch lasts
words-act-blow = it opened
words-act-held = it held
words-act-unplugged = unplugged
words-act-dead = “{ $load }” is dead
words-act-works = “{ $load }” works
words-act-look = look: { $seen }
words-act-press-opened = press: it opened
words-act-press-held = press: it held
words-act-meter = what the ohmmeter showed
words-act-telltale-back = the telltale came back
words-act-telltale-out = the telltale went out
words-act-waived = went on without a photograph
words-act-recording = recording
words-act-drawn = what was drawn last
words-act-road-began = the test drive began
words-act-road-ended = the test drive ended
words-act-photo = photograph “{ $stage }”
words-act-note = note
words-act-worked = it works
words-act-worked-not = it does not work
words-act-access-opened = opened
words-act-access-closed = closed again
words-act-no-reach = can't get there
words-act-first = do this first
words-act-taken-back = taken back
words-act-finding = finding
words-act-repair = repair
words-act-release = release check
words-act-handover = hand-over

# house, capture, fallen, learned, shelf
words-keeping-photo = Keeping the photograph …
words-photo-kept-place = Photograph kept. The place where it was taken was removed from it.
words-photo-kept = Photograph kept.
words-photo-not-kept = The photograph was not kept: { $why }.
words-keeping-voice = Keeping the spoken note …
words-voice-kept = Spoken note kept.
words-voice-not-kept = The spoken note was not kept: { $why }.
words-fallen = Loomwalk has stopped over a defect. Everything that was shown as kept is still on this phone.
words-start-again = Start again
words-held-to = The walk is held to that for now.
words-held-no-more = The whole walk is shown again.
words-not-kept = This was not kept: { $why }.
words-not-here = This job is not on this phone. Open its hand-over file here, or go to the list of jobs.
words-lesson-not-kept = What this job teaches could not be kept: this browser gives no more room for it. The job itself is kept.
words-shelf-unchanged = The shelf was not changed: { $why }.

# page
words-starting = starting…
words-start-failed = Loomwalk could not start: { $text }. What you have recorded is still on this device. Load the page again; if that does not help, update this browser.
words-no-script = Loomwalk is a program that runs in the browser. Please allow JavaScript for this address and load it again.
