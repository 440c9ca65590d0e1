# What is said of a pasted list or a table of loads, and the cautions of the catalogue.

# Cautions of loads
catalogue-caution-fuel = Hier kann Kraftstoffdampf sein: keine Funken, also unter Spannung nichts andrücken und nichts abstecken, solange welcher zu riechen ist. Die Anweisungen des Herstellers befolgen.
catalogue-caution-moves = Kann von selbst anlaufen: Hände, Haare und Ärmel fernhalten.
catalogue-caution-hot = Wird heiß: abkühlen lassen oder dafür geeignete Handschuhe tragen.

# Sides and pairs
catalogue-both = { $load }, beide
catalogue-left = links
catalogue-right = rechts
catalogue-left-and-right = links und rechts
catalogue-both-alone = beide
catalogue-no-side = links und rechts, da keine Seite genannt ist

# What was understood of a line
catalogue-count = { $n } Stück
catalogue-at-volts = bei { $n } V
catalogue-lamp = Lampe { $text }
catalogue-wire = Leitung { $text }
catalogue-awg = AWG { $n }
catalogue-wire-length = { $n } m Leitung (nicht übernommen: die Länge ergibt sich aus dem Weg des Kabelbaums)
catalogue-by-hand = „{ $text }“, von Hand
catalogue-not-understood = nicht verstanden: { $text }
catalogue-remark = eine Bemerkung oder Überschrift
catalogue-too-long = zu lang für einen Verbraucher: jeden in eine eigene Zeile schreiben
catalogue-first-lines = nur die ersten { $n } Zeilen werden gelesen: erst diese übernehmen, dann den Rest einfügen
catalogue-further-rows = { $n } weitere Zeilen wurden nicht gelesen: erst diese übernehmen
catalogue-further-rows-s = { $n } weitere Zeilen wurden nicht gelesen: erst diese übernehmen.

# Columns of a table
catalogue-column-name = Name
catalogue-column-power = Leistung, W
catalogue-column-current = Strom, A
catalogue-column-resistance = Widerstand, Ω
catalogue-column-colour = Leitungs­farbe
catalogue-column-size = Querschnitt, mm²
catalogue-column-gauge = Drahtmaß, AWG
catalogue-column-length = Leitungs­länge, m
catalogue-column-side = Seite
catalogue-column-count = Anzahl
catalogue-column-passed = nicht übernehmen

# What is wrong with a table
catalogue-table-empty = in dieser Datei steht nichts: die Liste noch einmal als CSV exportieren, ein Verbraucher je Zeile
catalogue-table-empty-s = In dieser Datei steht nichts: die Liste noch einmal als CSV exportieren, ein Verbraucher je Zeile.
catalogue-table-large = die Datei hat { $n } Byte, eine Liste von Verbrauchern höchstens { $n2 }: nur die Zeilen dieser Sicherung exportieren
catalogue-table-large-s = Die Datei hat { $n } Byte, eine Liste von Verbrauchern höchstens { $n2 }: nur die Zeilen dieser Sicherung exportieren.
catalogue-table-no-text = die Datei ist ab Byte { $n } kein Text (UTF-8): als CSV in UTF-8 speichern
catalogue-table-no-text-s = Die Datei ist ab Byte { $n } kein Text (UTF-8): als CSV in UTF-8 speichern.
catalogue-table-columns = Zeile { $n } hat { $n2 } Zellen, höchstens { $n3 } werden gelesen: Spalten weglassen, die nichts über einen Verbraucher sagen
catalogue-table-columns-s = Zeile { $n } hat { $n2 } Zellen, höchstens { $n3 } werden gelesen: Spalten weglassen, die nichts über einen Verbraucher sagen.
catalogue-table-csv = Zeile { $n } lässt sich nicht als CSV lesen ({ $text }): die Liste noch einmal als CSV speichern
catalogue-table-csv-s = Zeile { $n } lässt sich nicht als CSV lesen ({ $text }): die Liste noch einmal als CSV speichern.
catalogue-table-no-name = keine Spalte ist der Name: angeben, welche Spalte den Verbraucher nennt
catalogue-table-no-name-s = Keine Spalte ist der Name: angeben, welche Spalte den Verbraucher nennt.
catalogue-table-twice = die Spalten { $n } und { $n2 } sind beide „{ $column }“: eine davon wählen
catalogue-table-twice-s = Die Spalten { $n } und { $n2 } sind beide „{ $column }“: eine davon wählen.

# What is wrong with a cell; behind the column and a colon
catalogue-cell-name-long = der Name ist { $n } Byte lang: höchstens { $n2 } schreiben
catalogue-cell-name-name-long = Name: der Name ist { $n } Byte lang: höchstens { $n2 } schreiben
catalogue-cell-name-none = es steht kein Name da: schreiben, wie der Verbraucher heißt
catalogue-cell-name-name-none = Name: es steht kein Name da: schreiben, wie der Verbraucher heißt
catalogue-cell-no-column = niemand hat gesagt, was diese Spalte ist
catalogue-cell-passed-no-column = nicht übernehmen: niemand hat gesagt, was diese Spalte ist
catalogue-cell-size-twice = in der Zeile steht schon { $size }: die Größe wird einmal genannt
catalogue-cell-power-size-twice = Leistung, W: in der Zeile steht schon { $size }: die Größe wird einmal genannt
catalogue-cell-current-size-twice = Strom, A: in der Zeile steht schon { $size }: die Größe wird einmal genannt
catalogue-cell-resistance-size-twice = Widerstand, Ω: in der Zeile steht schon { $size }: die Größe wird einmal genannt
catalogue-cell-no-side = „{ $text }“ ist keine Seite: links, rechts oder beide schreiben
catalogue-cell-side-no-side = Seite: „{ $text }“ ist keine Seite: links, rechts oder beide schreiben
catalogue-cell-no-count = „{ $text }“ ist keine Zahl von 1 bis { $n }
catalogue-cell-count-no-count = Anzahl: „{ $text }“ ist keine Zahl von 1 bis { $n }
catalogue-cell-no-number = „{ $text }“ ist keine Zahl: eine Zahl schreiben, etwa 1.5 oder 1,5, mit { $text2 } oder ohne
catalogue-cell-power-no-number = Leistung, W: „{ $text }“ ist keine Zahl: eine Zahl schreiben, etwa 1.5 oder 1,5, mit { $text2 } oder ohne
catalogue-cell-current-no-number = Strom, A: „{ $text }“ ist keine Zahl: eine Zahl schreiben, etwa 1.5 oder 1,5, mit { $text2 } oder ohne
catalogue-cell-resistance-no-number = Widerstand, Ω: „{ $text }“ ist keine Zahl: eine Zahl schreiben, etwa 1.5 oder 1,5, mit { $text2 } oder ohne
catalogue-cell-size-no-number = Querschnitt, mm²: „{ $text }“ ist keine Zahl: eine Zahl schreiben, etwa 1.5 oder 1,5, mit { $text2 } oder ohne
catalogue-cell-gauge-no-number = Drahtmaß, AWG: „{ $text }“ ist keine Zahl: eine Zahl schreiben, etwa 1.5 oder 1,5, mit { $text2 } oder ohne
catalogue-cell-length-no-number = Leitungs­länge, m: „{ $text }“ ist keine Zahl: eine Zahl schreiben, etwa 1.5 oder 1,5, mit { $text2 } oder ohne
catalogue-cell-no-plain-number = „{ $text }“ ist keine Zahl: eine Zahl schreiben, etwa 1.5 oder 1,5
catalogue-cell-cannot-be = { $n } kann nicht sein: es ist über 0 und höchstens { $n2 }
catalogue-cell-power-cannot-be = Leistung, W: { $n } kann nicht sein: es ist über 0 und höchstens { $n2 }
catalogue-cell-current-cannot-be = Strom, A: { $n } kann nicht sein: es ist über 0 und höchstens { $n2 }
catalogue-cell-resistance-cannot-be = Widerstand, Ω: { $n } kann nicht sein: es ist über 0 und höchstens { $n2 }
catalogue-cell-size-cannot-be = Querschnitt, mm²: { $n } kann nicht sein: es ist über 0 und höchstens { $n2 }
catalogue-cell-gauge-cannot-be = Drahtmaß, AWG: { $n } kann nicht sein: es ist über 0 und höchstens { $n2 }
catalogue-cell-length-cannot-be = Leitungs­länge, m: { $n } kann nicht sein: es ist über 0 und höchstens { $n2 }
catalogue-cell-no-place = diese Karosserie hat keine Stelle „{ $text }“: eine schreiben, wie das Bild des Fahrzeugs sie nennt, oder leer lassen
catalogue-cell-place-no-place = Stelle: diese Karosserie hat keine Stelle „{ $text }“: eine schreiben, wie das Bild des Fahrzeugs sie nennt, oder leer lassen
