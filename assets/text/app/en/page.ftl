page-name = Loomwalk
page-language = Language
page-zone-chance = { $zone } { $n } %
page-zone-over = { $zone } over { $n } %
page-zone-under = { $zone } under { $n } %
page-digest = SHA-256 { $text }
page-command-line = command line
