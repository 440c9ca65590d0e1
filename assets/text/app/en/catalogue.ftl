# What is said of a pasted list or a table of loads, and the cautions of the catalogue.

# Cautions of loads
catalogue-caution-fuel = Fuel vapour may be about: no sparks, so no press and no unplugging with the current on while any can be smelt. Follow the maker's instructions.
catalogue-caution-moves = It can start by itself: keep hands, hair and sleeves clear.
catalogue-caution-hot = It gets hot: let it cool down, or wear gloves that are made for it.

# Sides and pairs
catalogue-both = { $load }, both
catalogue-left = left
catalogue-right = right
catalogue-left-and-right = left and right
catalogue-both-alone = both
catalogue-no-side = left and right, since no side was said

# What was understood of a line
catalogue-count = { $n } of them
catalogue-at-volts = at { $n } V
catalogue-lamp = lamp { $text }
catalogue-wire = wire { $text }
catalogue-awg = AWG { $n }
catalogue-wire-length = { $n } m of wire (not kept: the way of the loom gives the length)
catalogue-by-hand = “{ $text }”, by hand
catalogue-not-understood = not understood: { $text }
catalogue-remark = a remark or a heading
catalogue-too-long = too long for one load: write each load on a line of its own
catalogue-first-lines = only the first { $n } lines are read: put these on first, then paste the rest
catalogue-further-rows = { $n } further rows were not read: put these on first
catalogue-further-rows-s = { $n } further rows were not read: put these on first.

# Columns of a table
catalogue-column-name = name
catalogue-column-power = power, W
catalogue-column-current = current, A
catalogue-column-resistance = resistance, Ω
catalogue-column-colour = wire colour
catalogue-column-size = wire size, mm²
catalogue-column-gauge = wire gauge, AWG
catalogue-column-length = wire length, m
catalogue-column-side = side
catalogue-column-count = how many
catalogue-column-passed = not taken over

# What is wrong with a table
catalogue-table-empty = there is nothing in this file: export the list again as CSV, one load a row
catalogue-table-empty-s = There is nothing in this file: export the list again as CSV, one load a row.
catalogue-table-large = the file has { $n } bytes, and a list of loads has at most { $n2 }: export only the rows of this fuse
catalogue-table-large-s = The file has { $n } bytes, and a list of loads has at most { $n2 }: export only the rows of this fuse.
catalogue-table-no-text = the file is not text (UTF-8) from byte { $n } on: save it as CSV in UTF-8
catalogue-table-no-text-s = The file is not text (UTF-8) from byte { $n } on: save it as CSV in UTF-8.
catalogue-table-columns = line { $n } has { $n2 } cells, and at most { $n3 } are read: leave out the columns that say nothing of a load
catalogue-table-columns-s = Line { $n } has { $n2 } cells, and at most { $n3 } are read: leave out the columns that say nothing of a load.
catalogue-table-csv = line { $n } cannot be read as CSV ({ $text }): save the list again as CSV
catalogue-table-csv-s = Line { $n } cannot be read as CSV ({ $text }): save the list again as CSV.
catalogue-table-no-name = no column is the name: say which column names the load
catalogue-table-no-name-s = No column is the name: say which column names the load.
catalogue-table-twice = columns { $n } and { $n2 } are both "{ $column }": choose one of them
catalogue-table-twice-s = Columns { $n } and { $n2 } are both "{ $column }": choose one of them.

# What is wrong with a cell; behind the column and a colon
catalogue-cell-name-long = the name is { $n } bytes long: write at most { $n2 }
catalogue-cell-name-name-long = name: the name is { $n } bytes long: write at most { $n2 }
catalogue-cell-name-none = there is no name: write what the load is called
catalogue-cell-name-name-none = name: there is no name: write what the load is called
catalogue-cell-no-column = nobody said what this column is
catalogue-cell-passed-no-column = not taken over: nobody said what this column is
catalogue-cell-size-twice = the row says { $size } already: a load's size is said once
catalogue-cell-power-size-twice = power, W: the row says { $size } already: a load's size is said once
catalogue-cell-current-size-twice = current, A: the row says { $size } already: a load's size is said once
catalogue-cell-resistance-size-twice = resistance, Ω: the row says { $size } already: a load's size is said once
catalogue-cell-no-side = "{ $text }" is no side: write left, right or both
catalogue-cell-side-no-side = side: "{ $text }" is no side: write left, right or both
catalogue-cell-no-count = "{ $text }" is no number from 1 to { $n }
catalogue-cell-count-no-count = how many: "{ $text }" is no number from 1 to { $n }
catalogue-cell-no-number = "{ $text }" is no number: write a number, such as 1.5 or 1,5, with { $text2 } or without
catalogue-cell-power-no-number = power, W: "{ $text }" is no number: write a number, such as 1.5 or 1,5, with { $text2 } or without
catalogue-cell-current-no-number = current, A: "{ $text }" is no number: write a number, such as 1.5 or 1,5, with { $text2 } or without
catalogue-cell-resistance-no-number = resistance, Ω: "{ $text }" is no number: write a number, such as 1.5 or 1,5, with { $text2 } or without
catalogue-cell-size-no-number = wire size, mm²: "{ $text }" is no number: write a number, such as 1.5 or 1,5, with { $text2 } or without
catalogue-cell-gauge-no-number = wire gauge, AWG: "{ $text }" is no number: write a number, such as 1.5 or 1,5, with { $text2 } or without
catalogue-cell-length-no-number = wire length, m: "{ $text }" is no number: write a number, such as 1.5 or 1,5, with { $text2 } or without
catalogue-cell-no-plain-number = "{ $text }" is no number: write a number, such as 1.5 or 1,5
catalogue-cell-cannot-be = { $n } cannot be: it is above 0 and at most { $n2 }
catalogue-cell-power-cannot-be = power, W: { $n } cannot be: it is above 0 and at most { $n2 }
catalogue-cell-current-cannot-be = current, A: { $n } cannot be: it is above 0 and at most { $n2 }
catalogue-cell-resistance-cannot-be = resistance, Ω: { $n } cannot be: it is above 0 and at most { $n2 }
catalogue-cell-size-cannot-be = wire size, mm²: { $n } cannot be: it is above 0 and at most { $n2 }
catalogue-cell-gauge-cannot-be = wire gauge, AWG: { $n } cannot be: it is above 0 and at most { $n2 }
catalogue-cell-length-cannot-be = wire length, m: { $n } cannot be: it is above 0 and at most { $n2 }
catalogue-cell-no-place = this body has no place "{ $text }": write one as the picture of the vehicle names it, or leave it empty
catalogue-cell-place-no-place = place: this body has no place "{ $text }": write one as the picture of the vehicle names it, or leave it empty
