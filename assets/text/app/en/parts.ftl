# English as the screens say it.

# at_desk
parts-desk-asking = Asking the desk …
parts-desk-no-jobs = The desk’s jobs cannot be shown: { $why }.
parts-desk-taking = Taking the job onto this phone …
parts-desk-here-now = The job is on this phone now.
parts-desk-not-taken = The job was not taken over: { $why }.
parts-desk-at = At the desk
parts-desk-all-here = No other job there: what the desk has of these is on this phone.
parts-desk-closed = Closed
parts-desk-find = Find a job at the desk
parts-desk-find-hint = Vehicle, fuse or concern: also those that are handed over. Empty: all that are open
parts-desk-no-concern = Job without a concern
parts-desk-older-pre = These were changed last. The desk has
parts-desk-older-one = 1 older one
parts-desk-older = { $n } older ones
parts-desk-again = Ask the desk again
parts-desk-show = Show jobs at the desk

# beside
parts-beside-why = Why this comes first: { $why }.
parts-beside-also = Before it is closed, look also here
parts-beside-second = A second bare place is often close to the first: { $found }.
parts-beside-moved = What that moved: { $what }
parts-beside-test = A test that saves more than looking
parts-beside-press = Press there
parts-beside-blew = Done: it opened all the same
parts-beside-held = Done: it held
parts-beside-note = Note what came of it
parts-beside-course = How soon this order finds it
parts-beside-axes = Across: minutes. Up: the chance to have found it by then. Thick: this order; dashes: along the list; dots: the likeliest first.

# doubts
parts-doubts-right = Is the list right?
parts-doubts-speaks = What speaks for it
parts-doubts-tells = What tells: { $check }
parts-doubts-unplug = What to unplug

# frame
parts-back = Back
parts-newer = Newer version
parts-newer-ready = A newer version lies ready. Everything is kept; the app starts again where you are.
parts-newer-take = Take it now
parts-read-it = I have read it
parts-what-to-do = What to do here
parts-way-concern = Concern
parts-way-circuit = Circuit
parts-way-handover = Hand-over
parts-way-go-to = Go to
parts-way-through = The way through this job
parts-way-all-jobs = All jobs
parts-job-unshown = This job cannot be shown
parts-job-reading = Reading the job …

# fuse_card
parts-jam-fuse = { $load }: if it is jammed, the fuse carries about { $current } and { $does } ({ $state }).
parts-jam-breaker = { $load }: if it is jammed, the breaker carries about { $current } and { $does } ({ $state }).
parts-jams-intro = A motor that cannot turn opens it too. Try that it turns freely before you look for a chafed wire:
parts-jams-how = Computed with the motor's resistance standing still, { $n } to { $n2 } times less than running, and all else running.
parts-fuse-does = What the fuse does
parts-touch-stated = A rubbing wire is taken to touch for { $span }, any length between as likely on a logarithmic scale: stated on this job, and still an assumption, no measurement. Longer touches make a far place on a thin wire likelier. A change counts at once: the order of the walk is made again.
parts-touch-assumed = A rubbing wire is taken to touch for { $span }, any length between as likely on a logarithmic scale: an assumption, no measurement. Longer touches make a far place on a thin wire likelier. A change counts at once: the order of the walk is made again.
parts-touch-not-time = “{ $text }” is not a time: write seconds above 0, such as 0.002 or 2.
parts-touch-shortest = Shortest touch, seconds
parts-touch-longest = Longest touch, seconds
parts-touch-shipped = As shipped

# groups
parts-groups-title = Strike out what goes together: { $n }
parts-groups-true = True of this vehicle
parts-groups-struck = · struck out:
parts-groups-strikes = · strikes out:

# hold
parts-hold-over = the { $n } minutes are over
parts-hold-left = { $n } of { $n2 } minutes left
parts-hold-reach-zone = only what is open, in plain sight, or in "{ $zone }"
parts-hold-reach = only what is open or in plain sight
parts-hold-one-waits = 1 place waits for another time, with a chance of { $chance }
parts-hold-wait = { $n } places wait for another time, with a chance of { $chance }
parts-hold-now = Only for now: { $what }.
parts-hold-whole = Show the whole walk
parts-hold-short = Short of time, or not to move?
parts-hold-have = I have
parts-hold-minutes = { $n } minutes
parts-hold-worth = The walk then goes to what is most worth it in that time.
parts-hold-from-here = Only from here
parts-hold-from-zone = Only from here ({ $zone })
parts-hold-leaves-out = Leaves out what needs something opened, but for the part of the vehicle where you are.

# keep_on_shelf
parts-shelf-keep = Keep this circuit on the shelf
parts-shelf-practice = It is a practice job: its circuit is invented. On the shelf it would lie among those of real vehicles.
parts-shelf-keep-anyway = Keep it all the same
parts-shelf-on-kept = On the shelf, kept { $day }:
parts-shelf-not-put = The circuit was not put on the shelf: { $why }.
parts-shelf-now-on = On the shelf: { $text }.
parts-shelf-knows = The shelf knows it now: { $text }.
parts-shelf-no-sense = These make no sense by themselves. Take over what they hang on as well: { $why }.
parts-shelf-learned = Learned since it was on the shelf
parts-shelf-learned-hint = “{ $text }” on the shelf does not say this yet. What is ticked is taken over there.
parts-shelf-take-over = Take over to the shelf: { $n }
parts-shelf-keep-as = Keep it as “{ $text }” as well

# kept
parts-kept-line = Kept on this phone: { $what }. { $desk }
parts-kept-one-entry = 1 entry
parts-kept-entries = { $n } entries
parts-kept-one-photo = 1 photograph
parts-kept-photos = { $n } photographs
parts-kept-some-photos = { $n } of { $n2 } photographs
parts-kept-one-recording = 1 recording
parts-kept-recordings = { $n } recordings
parts-kept-some-recordings = { $n } of { $n2 } recordings
parts-kept-no-desk = No desk here: hand over as a file.
parts-kept-unpaired = Not at the desk: this phone is not paired with it.
parts-kept-soon = Not yet at the desk: it is sent in a moment.
parts-kept-all = The desk has all of it.
parts-kept-not-here = The desk has all of it, but for photographs and recordings that are not here either: { $n }.
parts-kept-sending = Sending to the desk: { $sent } of { $total }.
parts-kept-waiting = Not yet at the desk: { $why }
parts-kept-refused = The desk refused it: { $why }

# marks
parts-marked = · marked { $weight }

# photos
parts-photo-file = File
parts-photo-from-file = { $label }: from a file
parts-photographs = Photographs
parts-photo-draw-what = Draw, measure: { $stage }
parts-photo-draw = Draw, measure
parts-photo-take-back = Take back this photograph: { $stage }
parts-photo-reading = { $stage }, being read
parts-photo-undrawn = { $stage }: kept, but not shown: it lies at the desk, or this browser cannot draw it
parts-photo-given-out = It was given out as a file: it lies where this browser puts its downloads.
parts-photo-sent-out = It was given out as a file: it lies where you have sent it.
parts-work-stop = Stop
parts-work-stopped = Stopped. Nothing was made or changed.
parts-work-stopped-coming = Stopped. A job that had come by then stands in the list above.
parts-photo-shoot = Photograph with lamp and timer

# picture
parts-picture-none = none
parts-picture-summary = The vehicle. Next place: { $zone }. Most likely: { $zones }.
parts-picture-zone-chance = { $zone } { $n } %
parts-picture-unknown = not known
parts-picture-where = Where it sits, in the vehicle. Now: { $zone }.
parts-picture-from = Seen from
parts-picture-above = Above
parts-picture-left = Its left
parts-picture-right = Its right
parts-picture-list = Or choose from the list
parts-picture-part = Part of the vehicle
parts-picture-last = you looked here last

# shelf_offers
parts-shelf-on = On the shelf
parts-shelf-on-colon = On the shelf:
parts-shelf-take = Take a circuit from the shelf
parts-shelf-taken = Circuit from the shelf: { $loads }.
parts-shelf-about-kept = , { $about }, kept { $day }.
parts-shelf-another = It is another vehicle's. Left out: { $what }.
parts-shelf-replaces = This is entered here already and would be replaced: { $what }. “Take back” on the circuit screen brings it back.
parts-shelf-replace = Replace it
parts-shelf-leave = Leave it as it is
parts-shelf-use-what = Use it: { $text }
parts-shelf-use = Use it

# take_back
parts-bring-back-here = Taken back here: { $n }
parts-bring-back-one = Bring back
parts-bring-back-done = Brought back.
parts-bring-back-photo = Bring back this photograph: { $stage }
parts-bring-back-note = Bring back the note: { $text }
parts-bring-back-spoken = Bring back this spoken note
parts-take-back-what = Take back: { $what }
parts-off-list = “{ $load }” off the list
parts-step-done = “{ $access }” is done
parts-step-undone = “{ $access }” is undone

# tree
parts-tree-fuse = Fuse { $n } A
parts-tree-by = Thickness shows
parts-tree-flows = What flows
parts-tree-chance = Chance of the place
parts-tree-meter = Meter card: ohms, amperes, metres
parts-tree-open-circuit = Ohmmeter with the fuse out, from its load side to ground: open circuit.
parts-tree-ohms = Ohmmeter with the fuse out, from its load side to ground: about { $n } Ω, { $n2 } to { $n3 }. Cold lamps read like a short: that is none.
parts-tree-ohms-least = Ohmmeter with the fuse out, from its load side to ground: about { $n } Ω, at least { $n2 }; electronics may also show an open circuit.
parts-tree-told-current = Thick where much flows, with all of that on. Faint and dashed: dead. Dotted: the return, behind a load.
parts-tree-told-chance = Thick where the place is likely, of the wire itself and all behind it. Dotted: the return; a short there opens no fuse. Places that several wires share count for each in equal parts.
parts-tree-circuit = The circuit from the fuse on
parts-tree-behind = , behind { $load }
parts-tree-open-end = open end
parts-tree-nothing = { $place }: nothing on it
parts-tree-joint = joint
parts-tree-dead = dead
parts-tree-live-none = live, 0 A
parts-return-ground = return to ground
parts-return-load = return through another load
parts-return-colour-ground = return { $colour } to ground
parts-return-colour-load = return { $colour } through another load
parts-return-by-ground = return by { $place } to ground
parts-return-by-load = return by { $place } through another load
parts-return-colour-by-ground = return { $colour } by { $place } to ground
parts-return-colour-by-load = return { $colour } by { $place } through another load

# tried
parts-tried-odd = does not fit
parts-tried-fits = fits
parts-tried-dead = Dead
parts-tried-works = Works

# viewfinder
parts-finder-camera = Camera: { $stage }
parts-finder-sees = What the camera sees
parts-finder-opens = The camera opens. The browser may ask whether it may.
parts-finder-lie = As it lies.
parts-finder-close-scale = Close, with scale.
parts-finder-repaired = After the repair.
parts-finder-other = Other.
parts-finder-keeping = Keeping it …
parts-finder-kept = Kept.
parts-finder-keep = Keep it
parts-finder-retake = Retake
parts-finder-stop-timer = Stop the timer
parts-finder-take = Take it
parts-finder-timer-off = Timer: off
parts-finder-timer = Timer: { $n } s
parts-finder-close = Close
parts-finder-gone = The camera was taken away, as by a call or another app. What was kept is kept. Close this and open it again, or take the photograph with the phone's own camera.
parts-finder-given-out = It could not be kept in the job. { $where } Close this to read why.
parts-finder-lamp-on = Lamp: on
parts-finder-lamp-off = Lamp: off
parts-finder-zoom = Zoom
parts-finder-knock-off = Knock: off
parts-finder-knock-light = Knock: light
parts-finder-knock-firm = Knock: firm
parts-finder-use-timer = { $why }. Use the timer instead.
parts-finder-own-camera = { $why }. Or take the photograph with the phone's own camera.

# vin
parts-vin-registered = Maker registered in { $region }; { $check }; { $year }.
parts-vin-not-kept = This browser keeps nothing beside the job: the number was not kept.
parts-vin-label = VIN, if it is at hand
parts-vin-hint = Not needed. It tells the shelf which vehicle this is.
parts-vin-scan = Read it from its bar code
parts-vin-none = There is no VIN among the bar codes in this picture. Come closer, or type it.
parts-vin-in-log = The VIN is in this job's log and goes with it
parts-vin-here = Keep the VIN on this phone, out of what is handed over

# voice
parts-voice-none = No spoken note: { $why }. Tap a phrase or type the note instead.
parts-voice-opens = The microphone opens …
parts-voice-speak = Speak a note
parts-voice-stop = Stop and keep
parts-voice-notes = Spoken notes
parts-voice-take-back = Take back this spoken note
parts-voice-hear = Hear it
parts-voice-note = Spoken note, { $time }
parts-voice-elsewhere = A spoken note of { $time } that is not on this phone.
parts-voice-one-second = 1 second
parts-voice-seconds = { $n } seconds

# wire_way
parts-way-loom = with the loom, { $n } m: { $zones }
parts-way-via = through { $zones }, { $n } m
parts-way-stated = through { $zones }, as stated
parts-way-wire = Its wire goes
