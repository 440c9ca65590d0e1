# Deutsch.

# words.rs
words-unpaired = Unter dieser Adresse gibt es eine Annahme, aber dieses Telefon ist nicht mit ihr gekoppelt: Sie bekommt nichts von hier.
words-key-on = Zündung ein
words-key-on-low = Zündung ein
words-engine-running = Motor läuft
words-engine-running-low = Motor läuft
words-lamps-on = Licht ein
words-lamps-on-low = Licht ein
words-brake = Bremse getreten
words-brake-low = Bremse getreten
words-reverse = Rückwärts­gang eingelegt
words-reverse-low = Rückwärts­gang eingelegt
words-wipers = Wischer ein
words-wipers-low = Wischer ein
words-turn-left = Blinker links
words-turn-left-low = Blinker links
words-turn-right = Blinker rechts
words-turn-right-low = Blinker rechts
words-door-open = Tür offen
words-door-open-low = Tür offen
words-accessory = Zubehör ein
words-accessory-low = Zubehör ein
words-nothing-on = nichts eingeschaltet

# phrases
words-phrase-clip = Clip fehlt
words-phrase-grommet = Tülle gerissen
words-phrase-copper = Bis aufs Kupfer durch­gescheuert
words-phrase-edge = Liegt auf scharfer Kante
words-phrase-tape = Band gelöst
words-phrase-corrosion = Grünspan
words-phrase-pinched = Eingeklemmt
words-phrase-repaired = Hier schon einmal repariert

# seen
words-seen-sound = Heil
words-seen-sound-low = heil
words-seen-marked = Gescheuert
words-seen-marked-low = gescheuert
words-seen-thinned = Dünn
words-seen-thinned-low = dünn
words-seen-bare = Blank
words-seen-bare-low = blank
words-seen-severed = Durchtrennt
words-seen-severed-low = durchtrennt
words-seen-not-seen = Nicht gesehen
words-seen-not-seen-low = nicht gesehen
words-means-sound = nichts zu beanstanden
words-means-marked = gescheuert, Isolierung heil
words-means-thinned = Isolierung dünn, kein Kupfer
words-means-bare = Kupfer sichtbar
words-means-severed = Leitung durchtrennt
words-means-not-seen = Stelle nicht einzusehen

# motion, heat
words-still = Im Stand
words-still-low = im Stand
words-smooth = Glatte Straße
words-smooth-low = glatte Straße
words-rough = Schlechte Straße
words-rough-low = schlechte Straße
words-turning = In einer Kurve
words-turning-low = in einer Kurve
words-door-moved = Tür oder Klappe bewegt
words-door-moved-low = Tür oder Klappe bewegt
words-cold = Kalt
words-cold-low = kalt
words-warm = Warm
words-warm-low = warm
words-hot = Heiß
words-hot-low = heiß

# vehicle
words-engine-front = Vorn
words-engine-mid = Unter oder hinter den Vordersitzen
words-engine-rear = Hinten
words-size-short = Kurz
words-size-medium = Üblich oder nur eine
words-size-long = Lang
words-option-fitted = An diesem Fahrzeug
words-option-fitted-low = an diesem Fahrzeug
words-option-absent = Nicht an diesem Fahrzeug
words-option-absent-low = nicht an diesem Fahrzeug
words-option-removed = Ausgebaut, Leitungen noch da
words-option-removed-low = ausgebaut, Leitungen noch da

# stage
words-stage-lie = Wie es liegt
words-stage-lie-low = wie es liegt
words-stage-lifted = Angehoben
words-stage-lifted-low = angehoben
words-stage-close = Nah, mit Maßstab
words-stage-close-low = nah, mit Maßstab
words-stage-repaired = Nach der Reparatur
words-stage-repaired-low = nach der Reparatur
words-other = Sonstiges
words-other-low = Sonstiges

# fuse
words-fuse-blade = Flach­sicherung
words-fuse-mini = Mini-Sicherung
words-fuse-maxi = Maxi-Sicherung
words-fuse-cartridge = Träge Block­sicherung
words-fuse-breaker = Schutz­schalter, schließt von selbst wieder
words-fresh-not-tried = Noch nicht versucht
words-fresh-closed = Er bleibt geschlossen
words-fresh-holds = Sie hält
words-fresh-trips = Er löst sofort aus, immer wieder
words-fresh-opens = Sie löst sofort aus

# figures
words-minutes-under = unter 1 min
words-minutes-plain = { $n } min
words-minutes-hours = { $n } h { $n2 } min
words-amperes = { $n } A
words-kilobytes = { $n } kB
words-megabytes = { $n } MB
words-gigabytes = { $n } GB
words-both = Beide
words-left = Links
words-right = Rechts
words-no-figure = „{ $text }“ ist keine Zahl ab 0. Was vorher gesichert war, bleibt.
words-too-long = „{ $text }“ ist mehr, als je ein Fahrzeug läuft. Was vorher gesichert war, bleibt.
words-one-load = 1 Verbraucher
words-loads = { $n } Verbraucher
words-day-1 = { $day }. Januar { $year }
words-day-2 = { $day }. Februar { $year }
words-day-3 = { $day }. März { $year }
words-day-4 = { $day }. April { $year }
words-day-5 = { $day }. Mai { $year }
words-day-6 = { $day }. Juni { $year }
words-day-7 = { $day }. Juli { $year }
words-day-8 = { $day }. August { $year }
words-day-9 = { $day }. September { $year }
words-day-10 = { $day }. Oktober { $year }
words-day-11 = { $day }. November { $year }
words-day-12 = { $day }. Dezember { $year }
words-bump = Bodenwelle
words-bump-low = Bodenwelle
words-bend = Kurve
words-bend-low = Kurve

# acts
words-act-opened-job = Auftrag angelegt
words-act-concern = Beanstandung
words-act-vehicle = Fahrzeug
words-act-fuse = Sicherung
words-act-circuit = Stromkreis übernommen
words-act-shop = was die Werkstatt gelernt hat
words-act-load = Verbraucher „{ $load }“
words-act-load-removed = Verbraucher { $load } entfernt
words-act-quoted = „{ $what }“
words-act-mark = Markierung „{ $mark }“
words-act-mark-off = Markierung entfernt
words-act-touch = wie lange eine Berührung dauert
words-act-blow = ausgelöst
words-act-held = gehalten
words-act-unplugged = abgesteckt
words-act-dead = „{ $load }“ ohne Funktion
words-act-works = „{ $load }“ funktioniert
words-act-look = Sichtprüfung: { $seen }
words-act-press-opened = Druckprobe: ausgelöst
words-act-press-held = Druckprobe: gehalten
words-act-meter = was das Ohmmeter zeigte
words-act-telltale-back = die Kontroll­leuchte ging wieder an
words-act-telltale-out = die Kontroll­leuchte erlosch
words-act-waived = ohne Foto weitergemacht
words-act-recording = Aufnahme
words-act-drawn = was zuletzt gezeichnet wurde
words-act-road-began = die Probefahrt begann
words-act-road-ended = die Probefahrt endete
words-act-photo = Foto „{ $stage }“
words-act-note = Notiz
words-act-worked = es funktioniert
words-act-worked-not = es funktioniert nicht
words-act-access-opened = geöffnet
words-act-access-closed = wieder geschlossen
words-act-no-reach = nicht erreichbar
words-act-first = dies zuerst
words-act-taken-back = zurück­genommen
words-act-finding = Fundstelle
words-act-repair = Reparatur
words-act-release = Freigabe­prüfung
words-act-handover = Übergabe

# house, capture, fallen, learned, shelf
words-keeping-photo = Foto wird gesichert …
words-photo-kept-place = Foto gesichert. Der Aufnahmeort wurde daraus entfernt.
words-photo-kept = Foto gesichert.
words-photo-not-kept = Das Foto wurde nicht gesichert: { $why }.
words-keeping-voice = Sprachnotiz wird gesichert …
words-voice-kept = Sprachnotiz gesichert.
words-voice-not-kept = Die Sprachnotiz wurde nicht gesichert: { $why }.
words-fallen = Loomwalk ist wegen eines Fehlers stehen geblieben. Alles, was als gesichert angezeigt wurde, ist noch auf diesem Telefon.
words-start-again = Neu starten
words-held-to = Der Rundgang hält sich vorerst daran.
words-held-no-more = Der ganze Rundgang wird wieder gezeigt.
words-not-kept = Das wurde nicht gesichert: { $why }.
words-not-here = Dieser Auftrag ist nicht auf diesem Telefon. Seine Übergabe­datei hier öffnen oder zur Liste der Aufträge gehen.
words-lesson-not-kept = Was dieser Auftrag lehrt, ließ sich nicht sichern: Dieser Browser gibt dafür keinen Platz mehr her. Der Auftrag selbst ist gesichert.
words-shelf-unchanged = Das Regal wurde nicht geändert: { $why }.

# page
words-starting = startet …
words-start-failed = Loomwalk konnte nicht starten: { $text }. Was aufgezeichnet wurde, ist noch auf diesem Gerät. Die Seite neu laden; hilft das nicht, diesen Browser aktualisieren.
words-no-script = Loomwalk ist ein Programm, das im Browser läuft. Bitte JavaScript für diese Adresse erlauben und neu laden.
