page-name = Loomwalk
page-language = Idioma
page-zone-chance = { $zone } { $n } %
page-zone-over = { $zone } más del { $n } %
page-zone-under = { $zone } menos del { $n } %
page-digest = SHA-256 { $text }
page-command-line = línea de comandos
