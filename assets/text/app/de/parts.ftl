# Deutsch.

# at_desk
parts-desk-asking = Annahme wird gefragt …
parts-desk-no-jobs = Die Aufträge der Annahme lassen sich nicht zeigen: { $why }.
parts-desk-taking = Auftrag wird auf dieses Telefon geholt …
parts-desk-here-now = Der Auftrag ist jetzt auf diesem Telefon.
parts-desk-not-taken = Der Auftrag wurde nicht übernommen: { $why }.
parts-desk-at = Bei der Annahme
parts-desk-all-here = Kein anderer Auftrag dort: Was die Annahme davon hat, ist auf diesem Telefon.
parts-desk-closed = Abgeschlossen
parts-desk-find = Auftrag in der Annahme suchen
parts-desk-find-hint = Fahrzeug, Sicherung oder Beanstandung: auch die übergebenen. Leer: alle offenen
parts-desk-no-concern = Auftrag ohne Beanstandung
parts-desk-older-pre = Diese wurden zuletzt geändert. Die Annahme hat noch
parts-desk-older-one = 1 älteren
parts-desk-older = { $n } ältere
parts-desk-again = Annahme noch einmal fragen
parts-desk-show = Aufträge der Annahme zeigen

# beside
parts-beside-why = Warum dies zuerst kommt: { $why }.
parts-beside-also = Vor dem Schließen auch hier nachsehen
parts-beside-second = Eine zweite blanke Stelle ist oft nahe der ersten: { $found }.
parts-beside-moved = Was das verschoben hat: { $what }
parts-beside-test = Ein Test, der mehr spart als Nachsehen
parts-beside-press = Dort andrücken
parts-beside-blew = Erledigt: trotzdem ausgelöst
parts-beside-held = Erledigt: gehalten
parts-beside-note = Ergebnis eintragen
parts-beside-course = Wie bald diese Reihenfolge sie findet
parts-beside-axes = Quer: Minuten. Hoch: die Wahrschein­lichkeit, sie bis dahin gefunden zu haben. Dick: diese Reihenfolge; Striche: der Liste nach; Punkte: das Wahrschein­lichste zuerst.

# doubts
parts-doubts-right = Stimmt die Liste?
parts-doubts-speaks = Was dafür spricht
parts-doubts-tells = Was es zeigt: { $check }
parts-doubts-unplug = Was abzustecken ist

# frame
parts-back = Zurück
parts-newer = Neuere Version
parts-newer-ready = Eine neuere Version liegt bereit. Alles ist gesichert; die App startet hier an derselben Stelle neu.
parts-newer-take = Jetzt übernehmen
parts-read-it = Gelesen
parts-what-to-do = Was hier zu tun ist
parts-way-concern = Beanstandung
parts-way-circuit = Stromkreis
parts-way-handover = Übergabe
parts-way-go-to = Gehe zu
parts-way-through = Der Weg durch diesen Auftrag
parts-way-all-jobs = Alle Aufträge
parts-job-unshown = Dieser Auftrag lässt sich nicht zeigen
parts-job-reading = Auftrag wird gelesen …

# fuse_card
parts-jam-fuse = { $load }: Klemmt er, führt die Sicherung etwa { $current } und { $does } ({ $state }).
parts-jam-breaker = { $load }: Klemmt er, führt der Schutz­schalter etwa { $current } und { $does } ({ $state }).
parts-jams-intro = Auch ein Motor, der nicht drehen kann, lässt sie auslösen. Erst prüfen, ob er frei dreht, dann nach einer gescheuerten Leitung suchen:
parts-jams-how = Berechnet mit dem Widerstand des stehenden Motors, { $n }- bis { $n2 }-mal kleiner als im Lauf, und allem anderen im Lauf.
parts-fuse-does = Was die Sicherung tut
parts-touch-stated = Angenommen ist, dass eine scheuernde Leitung { $span } lang berührt, jede Dauer dazwischen auf logarith­mischer Skala gleich wahrscheinlich: in diesem Auftrag angegeben und dennoch eine Annahme, keine Messung. Längere Berührungen machen eine ferne Stelle an einer dünnen Leitung wahrschein­licher. Eine Änderung gilt sofort: Die Reihenfolge des Rundgangs wird neu gemacht.
parts-touch-assumed = Angenommen ist, dass eine scheuernde Leitung { $span } lang berührt, jede Dauer dazwischen auf logarith­mischer Skala gleich wahrscheinlich: eine Annahme, keine Messung. Längere Berührungen machen eine ferne Stelle an einer dünnen Leitung wahrschein­licher. Eine Änderung gilt sofort: Die Reihenfolge des Rundgangs wird neu gemacht.
parts-touch-not-time = „{ $text }“ ist keine Zeit: Sekunden über 0 eingeben, etwa 0,002 oder 2.
parts-touch-shortest = Kürzeste Berührung, Sekunden
parts-touch-longest = Längste Berührung, Sekunden
parts-touch-shipped = Wie mitgeliefert

# groups
parts-groups-title = Streichen, was zusammengehört: { $n }
parts-groups-true = Gilt für dieses Fahrzeug
parts-groups-struck = · gestrichen:
parts-groups-strikes = · streicht:

# hold
parts-hold-over = die { $n } Minuten sind um
parts-hold-left = noch { $n } von { $n2 } Minuten
parts-hold-reach-zone = nur was offen ist, frei zu sehen oder in „{ $zone }“
parts-hold-reach = nur was offen oder frei zu sehen ist
parts-hold-one-waits = 1 Stelle wartet auf ein andermal, mit einer Wahrschein­lichkeit von { $chance }
parts-hold-wait = { $n } Stellen warten auf ein andermal, mit einer Wahrschein­lichkeit von { $chance }
parts-hold-now = Nur vorerst: { $what }.
parts-hold-whole = Ganzen Rundgang zeigen
parts-hold-short = Wenig Zeit, oder hier bleiben?
parts-hold-have = Zeit:
parts-hold-minutes = { $n } Minuten
parts-hold-worth = Der Rundgang führt dann zu dem, was sich in dieser Zeit am meisten lohnt.
parts-hold-from-here = Nur von hier aus
parts-hold-from-zone = Nur von hier aus ({ $zone })
parts-hold-leaves-out = Lässt weg, wofür etwas zu öffnen ist, außer in dem Bereich, wo gerade gearbeitet wird.

# keep_on_shelf
parts-shelf-keep = Stromkreis ins Regal legen
parts-shelf-practice = Es ist ein Übungs­auftrag: Sein Stromkreis ist erfunden. Im Regal läge er zwischen denen wirklicher Fahrzeuge.
parts-shelf-keep-anyway = Trotzdem hineinlegen
parts-shelf-on-kept = Im Regal, hinterlegt am { $day }:
parts-shelf-not-put = Der Stromkreis wurde nicht ins Regal gelegt: { $why }.
parts-shelf-now-on = Im Regal: { $text }.
parts-shelf-knows = Das Regal weiß es jetzt: { $text }.
parts-shelf-no-sense = Diese ergeben allein keinen Sinn. Auch übernehmen, wovon sie abhängen: { $why }.
parts-shelf-learned = Gelernt, seit er im Regal liegt
parts-shelf-learned-hint = „{ $text }“ im Regal sagt das noch nicht. Was angehakt ist, wird dort übernommen.
parts-shelf-take-over = Ins Regal übernehmen: { $n }
parts-shelf-keep-as = Auch als „{ $text }“ hineinlegen

# kept
parts-kept-line = Auf diesem Telefon gesichert: { $what }. { $desk }
parts-kept-one-entry = 1 Eintrag
parts-kept-entries = { $n } Einträge
parts-kept-one-photo = 1 Foto
parts-kept-photos = { $n } Fotos
parts-kept-some-photos = { $n } von { $n2 } Fotos
parts-kept-one-recording = 1 Aufnahme
parts-kept-recordings = { $n } Aufnahmen
parts-kept-some-recordings = { $n } von { $n2 } Aufnahmen
parts-kept-no-desk = Hier keine Annahme: als Datei übergeben.
parts-kept-unpaired = Nicht bei der Annahme: Dieses Telefon ist nicht mit ihr gekoppelt.
parts-kept-soon = Noch nicht bei der Annahme: Es wird gleich gesendet.
parts-kept-all = Die Annahme hat alles.
parts-kept-not-here = Die Annahme hat alles, bis auf Fotos und Aufnahmen, die auch hier nicht sind: { $n }.
parts-kept-sending = Wird an die Annahme gesendet: { $sent } von { $total }.
parts-kept-waiting = Noch nicht bei der Annahme: { $why }
parts-kept-refused = Die Annahme hat es abgelehnt: { $why }

# marks
parts-marked = · markiert { $weight }

# photos
parts-photo-file = Datei
parts-photo-from-file = { $label }: aus einer Datei
parts-photographs = Fotos
parts-photo-draw-what = Zeichnen, messen: { $stage }
parts-photo-draw = Zeichnen, messen
parts-photo-take-back = Dieses Foto zurücknehmen: { $stage }
parts-photo-reading = { $stage }, wird gelesen
parts-photo-undrawn = { $stage }: gesichert, aber nicht gezeigt: es liegt in der Annahme, oder dieser Browser kann es nicht zeigen
parts-photo-given-out = Es wurde als Datei ausgegeben: Sie liegt dort, wo dieser Browser seine Downloads ablegt.
parts-photo-sent-out = Es wurde als Datei ausgegeben: Sie liegt dort, wohin sie geschickt wurde.
parts-work-stop = Abbrechen
parts-work-stopped = Abgebrochen. Nichts wurde erstellt oder geändert.
parts-work-stopped-coming = Abgebrochen. Ein Auftrag, der bis dahin da war, steht oben in der Liste.
parts-photo-shoot = Foto mit Lampe und Selbst­auslöser

# picture
parts-picture-none = keine
parts-picture-summary = Das Fahrzeug. Nächste Stelle: { $zone }. Am wahrschein­lichsten: { $zones }.
parts-picture-zone-chance = { $zone } { $n } %
parts-picture-unknown = nicht bekannt
parts-picture-where = Wo es im Fahrzeug sitzt. Jetzt: { $zone }.
parts-picture-from = Ansicht von
parts-picture-above = Oben
parts-picture-left = Links
parts-picture-right = Rechts
parts-picture-list = Oder aus der Liste wählen
parts-picture-part = Bereich des Fahrzeugs
parts-picture-last = hier wurde zuletzt nachgesehen

# shelf_offers
parts-shelf-on = Im Regal
parts-shelf-on-colon = Im Regal:
parts-shelf-take = Stromkreis aus dem Regal nehmen
parts-shelf-taken = Stromkreis aus dem Regal: { $loads }.
parts-shelf-about-kept = , { $about }, hinterlegt am { $day }.
parts-shelf-another = Er gehört zu einem anderen Fahrzeug. Weggelassen: { $what }.
parts-shelf-replaces = Dies ist hier schon eingetragen und würde ersetzt: { $what }. „Zurücknehmen“ auf der Seite Stromkreis holt es wieder.
parts-shelf-replace = Ersetzen
parts-shelf-leave = Lassen, wie es ist
parts-shelf-use-what = Benutzen: { $text }
parts-shelf-use = Benutzen

# take_back
parts-bring-back-here = Hier zurückgenommen: { $n }
parts-bring-back-one = Wiederherstellen
parts-bring-back-done = Wiederhergestellt.
parts-bring-back-photo = Dieses Foto wiederherstellen: { $stage }
parts-bring-back-note = Die Notiz wiederherstellen: { $text }
parts-bring-back-spoken = Diese Sprachnotiz wiederherstellen
parts-take-back-what = Zurücknehmen: { $what }
parts-off-list = „{ $load }“ von der Liste
parts-step-done = „{ $access }“ ist erledigt
parts-step-undone = „{ $access }“ ist wieder offen

# tree
parts-tree-fuse = Sicherung { $n } A
parts-tree-by = Dicke zeigt
parts-tree-flows = Was fließt
parts-tree-chance = Wahrschein­lichkeit der Stelle
parts-tree-meter = Messkarte: Ohm, Ampere, Meter
parts-tree-open-circuit = Ohmmeter bei gezogener Sicherung, von ihrer Lastseite nach Masse: offener Stromkreis.
parts-tree-ohms = Ohmmeter bei gezogener Sicherung, von ihrer Lastseite nach Masse: etwa { $n } Ω, { $n2 } bis { $n3 }. Kalte Lampen messen sich wie ein Kurzschluss: Es ist keiner.
parts-tree-ohms-least = Ohmmeter bei gezogener Sicherung, von ihrer Lastseite nach Masse: etwa { $n } Ω, mindestens { $n2 }; Elektronik kann auch einen offenen Stromkreis zeigen.
parts-tree-told-current = Dick, wo viel fließt, wenn all das ein ist. Blass und gestrichelt: spannungslos. Gepunktet: der Rückweg, hinter einem Verbraucher.
parts-tree-told-chance = Dick, wo die Stelle wahrscheinlich ist, an der Leitung selbst und allem dahinter. Gepunktet: der Rückweg; ein Kurzschluss dort lässt keine Sicherung auslösen. Stellen, die mehrere Leitungen teilen, zählen für jede zu gleichen Teilen.
parts-tree-circuit = Der Stromkreis ab der Sicherung
parts-tree-behind = , hinter { $load }
parts-tree-open-end = offenes Ende
parts-tree-nothing = { $place }: nichts daran
parts-tree-joint = Verbindung
parts-tree-dead = spannungslos
parts-tree-live-none = unter Spannung, 0 A
parts-return-ground = Rückweg nach Masse
parts-return-load = Rückweg durch einen anderen Verbraucher
parts-return-colour-ground = Rückweg { $colour } nach Masse
parts-return-colour-load = Rückweg { $colour } durch einen anderen Verbraucher
parts-return-by-ground = Rückweg über { $place } nach Masse
parts-return-by-load = Rückweg über { $place } durch einen anderen Verbraucher
parts-return-colour-by-ground = Rückweg { $colour } über { $place } nach Masse
parts-return-colour-by-load = Rückweg { $colour } über { $place } durch einen anderen Verbraucher

# tried
parts-tried-odd = passt nicht
parts-tried-fits = passt
parts-tried-dead = Ohne Funktion
parts-tried-works = Funktio­niert

# viewfinder
parts-finder-camera = Kamera: { $stage }
parts-finder-sees = Was die Kamera sieht
parts-finder-opens = Die Kamera geht auf. Vielleicht fragt der Browser, ob sie darf.
parts-finder-lie = Wie es liegt.
parts-finder-close-scale = Nah, mit Maßstab.
parts-finder-repaired = Nach der Reparatur.
parts-finder-other = Sonstiges.
parts-finder-keeping = Wird gesichert …
parts-finder-kept = Gesichert.
parts-finder-keep = Behalten
parts-finder-retake = Noch einmal
parts-finder-stop-timer = Zeit anhalten
parts-finder-take = Auslösen
parts-finder-timer-off = Timer: aus
parts-finder-timer = Timer: { $n } s
parts-finder-close = Schließen
parts-finder-gone = Die Kamera wurde weggenommen, etwa durch einen Anruf oder eine andere App. Was gesichert wurde, ist gesichert. Dies schließen und neu öffnen oder mit der Kamera des Telefons fotografieren.
parts-finder-given-out = Es ließ sich nicht im Auftrag sichern. { $where } Dies schließen, um den Grund zu lesen.
parts-finder-lamp-on = Lampe: ein
parts-finder-lamp-off = Lampe: aus
parts-finder-zoom = Zoom
parts-finder-knock-off = Klopfen: aus
parts-finder-knock-light = Klopfen: leicht
parts-finder-knock-firm = Klopfen: fest
parts-finder-use-timer = { $why }. Stattdessen den Timer benutzen.
parts-finder-own-camera = { $why }. Oder mit der Kamera des Telefons fotografieren.

# vin
parts-vin-registered = Hersteller registriert in { $region }; { $check }; { $year }.
parts-vin-not-kept = Dieser Browser behält nichts neben dem Auftrag: Die Nummer wurde nicht gesichert.
parts-vin-label = Fahrgestell­nummer, falls zur Hand
parts-vin-hint = Nicht nötig. Sie sagt dem Regal, welches Fahrzeug dies ist.
parts-vin-scan = Vom Strichcode lesen
parts-vin-none = Unter den Strichcodes in diesem Bild ist keine Fahrgestell­nummer. Näher herangehen oder eintippen.
parts-vin-in-log = Die Fahrgestell­nummer steht im Protokoll dieses Auftrags und geht mit
parts-vin-here = Fahrgestell­nummer auf diesem Telefon behalten, nicht mit übergeben

# voice
parts-voice-none = Keine Sprachnotiz: { $why }. Stattdessen einen Satz antippen oder die Notiz tippen.
parts-voice-opens = Mikrofon geht auf …
parts-voice-speak = Notiz sprechen
parts-voice-stop = Beenden und sichern
parts-voice-notes = Sprach­notizen
parts-voice-take-back = Diese Sprachnotiz zurücknehmen
parts-voice-hear = Anhören
parts-voice-note = Sprachnotiz, { $time }
parts-voice-elsewhere = Eine Sprachnotiz von { $time }, die nicht auf diesem Telefon ist.
parts-voice-one-second = 1 Sekunde
parts-voice-seconds = { $n } Sekunden

# wire_way
parts-way-loom = mit dem Kabelbaum, { $n } m: { $zones }
parts-way-via = durch { $zones }, { $n } m
parts-way-stated = durch { $zones }, wie angegeben
parts-way-wire = Seine Leitung geht
