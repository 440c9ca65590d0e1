page-name = Loomwalk
page-language = Sprache
page-zone-chance = { $zone } { $n } %
page-zone-over = { $zone } über { $n } %
page-zone-under = { $zone } unter { $n } %
page-digest = SHA-256 { $text }
page-command-line = Kommandozeile
