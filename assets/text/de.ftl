# Das Blatt für den Kunden.

practice = Übungsauftrag. Nichts davon ist an einem wirklichen Fahrzeug geschehen.
title-open = Ihr Fahrzeug: Stand der Arbeit
title-found = Ihr Fahrzeug: was gefunden und getan wurde
vehicle = Fahrzeug
vin = Fahrgestellnummer
taken-in = Angenommen am
this-sheet = Dieses Blatt
date = { $day }. { $month ->
    [1] Januar
    [2] Februar
    [3] März
    [4] April
    [5] Mai
    [6] Juni
    [7] Juli
    [8] August
    [9] September
    [10] Oktober
    [11] November
   *[12] Dezember
} { $year }

told-us = Was Sie uns gesagt haben
found = Was gefunden wurde
not-found = Die Stelle ist noch nicht gefunden. Die Suche geht weiter.
place-in-english = Im Bericht der Werkstatt: { $place }
seen-sound = nichts zu beanstanden
seen-marked = Hülle gescheuert oder gedrückt, Isolierung heil
seen-thinned = Isolierung dünner, kein Metall zu sehen
seen-bare = blankes Metall der Leitung zu sehen
seen-severed = Leitung durchtrennt
seen-not-seen = die Stelle war nicht einzusehen
opened-there = Als dort gedrückt wurde, löste die Sicherung aus.
chance = Nach allem, was gesehen und versucht wurde, ist dies mit { $percent } Wahrscheinlichkeit die Ursache.
over-99 = über 99 %
under-1 = unter 1 %
rubbed-on = Gescheuert an
why = Warum
also-hurt = Auch beschädigt
aside = Außerdem aufgefallen, vielleicht ohne Zusammenhang

stage-close = Aus der Nähe
stage-lie = Wie es lag, bevor es bewegt wurde
stage-lifted = Angehoben
stage-repaired = Nach der Reparatur
stage-other = Foto

repaired = Was repariert wurde
repaired-nothing = Es ist keine Reparatur als erledigt eingetragen.
recommended = Empfohlen und nicht erledigt

checked = Vor der Rückgabe geprüft
undone = { $undone ->
    [one] Eine von { $of } Prüfungen wurde nicht gemacht.
   *[other] { $undone } von { $of } Prüfungen wurden nicht gemacht.
}
done = erledigt
not-done = nicht erledigt
doubt = Dazu ist noch eine Frage offen: bitte sprechen Sie uns an.
held-for = { $minutes } min, in denen die Sicherung hielt
item-right-fuse = Die richtige Sicherung ist eingesetzt
item-pressed-again = An der reparierten Stelle wurde wieder gedrückt, und die Sicherung hielt
item-draw-measured = Der Strom wurde gemessen
item-all-worked = Alles an dieser Sicherung wurde einmal eingeschaltet
item-protection-back = Abdeckungen und Kantenschutz sind wieder angebracht
item-cautions-undone = Was zur Sicherheit abgeklemmt war, ist wieder angeschlossen
item-road-test = Probefahrt

estimate = Kosten
for-done = Für das, was erledigt wurde
for-recommended = Für das, was empfohlen wird
of-that-tax = darin { $tax } { $amount }
unpriced = { $count ->
    [one] Ein Posten hat noch keinen Preis und ist nicht enthalten.
   *[other] { $count } Posten haben noch keinen Preis und sind nicht enthalten.
}

next-time = Wenn es wieder geschieht
next-breaker = Schalten Sie aus, was ausgefallen ist: Der Schutzschalter schließt von selbst wieder, und die Leitung wird jedes Mal heiß.
next-fuse = Setzen Sie nicht eine Sicherung nach der anderen ein, und nie eine stärkere oder ein Stück Draht: Die Sicherung bewahrt die Leitung vor dem Brennen.
next-note = Schreiben Sie auf, was gerade war: Stand oder Fahrt, Schlagloch oder Kurve, was eingeschaltet war, warm oder kalt. Bringen Sie es mit diesem Blatt zurück. Wenn es verbrannt riecht oder Rauch zu sehen ist: anhalten, ausschalten, aussteigen und Hilfe rufen.
small-print = Eine Leitung kann an einer zweiten Stelle scheuern, die sich noch nicht gezeigt hat; keine Prüfung schließt das aus. Die Angaben des Herstellers gehen vor. Dieses Blatt beschreibt die Arbeit an dieser Sicherung und ist keine Prüfung des ganzen Fahrzeugs.
