# What is said of a pasted list or a table of loads, and the cautions of the catalogue.

# Cautions of loads
catalogue-caution-fuel = Puede haber vapor de combustible: nada de chispas; no presionar ni desenchufar con tensión mientras huela. Seguir las instrucciones del fabricante.
catalogue-caution-moves = Puede arrancar solo: mantener lejos manos, pelo y mangas.
catalogue-caution-hot = Se calienta: dejar que se enfríe o llevar guantes adecuados.

# Sides and pairs
catalogue-both = { $load }, ambos
catalogue-left = izquierda
catalogue-right = derecha
catalogue-left-and-right = izquierda y derecha
catalogue-both-alone = ambos
catalogue-no-side = izquierda y derecha, ya que no se dijo el lado

# What was understood of a line
catalogue-count = { $n } unidades
catalogue-at-volts = a { $n } V
catalogue-lamp = lámpara { $text }
catalogue-wire = cable { $text }
catalogue-awg = AWG { $n }
catalogue-wire-length = { $n } m de cable (no se guarda: la longitud la da el recorrido del mazo)
catalogue-by-hand = «{ $text }», a mano
catalogue-not-understood = no se entendió: { $text }
catalogue-remark = una nota o un título
catalogue-too-long = demasiado largo para un consumidor: escribir cada uno en su línea
catalogue-first-lines = solo se leen las primeras { $n } líneas: añadir estas primero y pegar luego el resto
catalogue-further-rows = no se leyeron otras { $n } filas: añadir estas primero
catalogue-further-rows-s = No se leyeron otras { $n } filas: añadir estas primero.

# Columns of a table
catalogue-column-name = nombre
catalogue-column-power = potencia, W
catalogue-column-current = corriente, A
catalogue-column-resistance = resistencia, Ω
catalogue-column-colour = color del cable
catalogue-column-size = sección del cable, mm²
catalogue-column-gauge = calibre del cable, AWG
catalogue-column-length = longitud del cable, m
catalogue-column-side = lado
catalogue-column-count = cuántos
catalogue-column-passed = no se toma

# What is wrong with a table
catalogue-table-empty = este archivo está vacío: exportar la lista de nuevo como CSV, un consumidor por fila
catalogue-table-empty-s = Este archivo está vacío: exportar la lista de nuevo como CSV, un consumidor por fila.
catalogue-table-large = el archivo tiene { $n } bytes y una lista de consumidores tiene como mucho { $n2 }: exportar solo las filas de este fusible
catalogue-table-large-s = El archivo tiene { $n } bytes y una lista de consumidores tiene como mucho { $n2 }: exportar solo las filas de este fusible.
catalogue-table-no-text = el archivo no es texto (UTF-8) desde el byte { $n }: guardarlo como CSV en UTF-8
catalogue-table-no-text-s = El archivo no es texto (UTF-8) desde el byte { $n }: guardarlo como CSV en UTF-8.
catalogue-table-columns = la línea { $n } tiene { $n2 } celdas y se leen como mucho { $n3 }: omitir las columnas que no dicen nada de un consumidor
catalogue-table-columns-s = La línea { $n } tiene { $n2 } celdas y se leen como mucho { $n3 }: omitir las columnas que no dicen nada de un consumidor.
catalogue-table-csv = la línea { $n } no se puede leer como CSV ({ $text }): guardar la lista de nuevo como CSV
catalogue-table-csv-s = La línea { $n } no se puede leer como CSV ({ $text }): guardar la lista de nuevo como CSV.
catalogue-table-no-name = ninguna columna es el nombre: indicar qué columna nombra el consumidor
catalogue-table-no-name-s = Ninguna columna es el nombre: indicar qué columna nombra el consumidor.
catalogue-table-twice = las columnas { $n } y { $n2 } son ambas «{ $column }»: elegir una de ellas
catalogue-table-twice-s = Las columnas { $n } y { $n2 } son ambas «{ $column }»: elegir una de ellas.

# What is wrong with a cell; behind the column and a colon
catalogue-cell-name-long = el nombre tiene { $n } bytes: escribir como mucho { $n2 }
catalogue-cell-name-name-long = nombre: el nombre tiene { $n } bytes: escribir como mucho { $n2 }
catalogue-cell-name-none = no hay nombre: escribir cómo se llama el consumidor
catalogue-cell-name-name-none = nombre: no hay nombre: escribir cómo se llama el consumidor
catalogue-cell-no-column = nadie dijo qué es esta columna
catalogue-cell-passed-no-column = no se toma: nadie dijo qué es esta columna
catalogue-cell-size-twice = la fila ya dice { $size }: la potencia se dice una vez
catalogue-cell-power-size-twice = potencia, W: la fila ya dice { $size }: la potencia se dice una vez
catalogue-cell-current-size-twice = corriente, A: la fila ya dice { $size }: la potencia se dice una vez
catalogue-cell-resistance-size-twice = resistencia, Ω: la fila ya dice { $size }: la potencia se dice una vez
catalogue-cell-no-side = «{ $text }» no es un lado: escribir izquierda, derecha o ambos
catalogue-cell-side-no-side = lado: «{ $text }» no es un lado: escribir izquierda, derecha o ambos
catalogue-cell-no-count = «{ $text }» no es un número de 1 a { $n }
catalogue-cell-count-no-count = cuántos: «{ $text }» no es un número de 1 a { $n }
catalogue-cell-no-number = «{ $text }» no es un número: escribir un número, como 1.5 o 1,5, con { $text2 } o sin
catalogue-cell-power-no-number = potencia, W: «{ $text }» no es un número: escribir un número, como 1.5 o 1,5, con { $text2 } o sin
catalogue-cell-current-no-number = corriente, A: «{ $text }» no es un número: escribir un número, como 1.5 o 1,5, con { $text2 } o sin
catalogue-cell-resistance-no-number = resistencia, Ω: «{ $text }» no es un número: escribir un número, como 1.5 o 1,5, con { $text2 } o sin
catalogue-cell-size-no-number = sección del cable, mm²: «{ $text }» no es un número: escribir un número, como 1.5 o 1,5, con { $text2 } o sin
catalogue-cell-gauge-no-number = calibre del cable, AWG: «{ $text }» no es un número: escribir un número, como 1.5 o 1,5, con { $text2 } o sin
catalogue-cell-length-no-number = longitud del cable, m: «{ $text }» no es un número: escribir un número, como 1.5 o 1,5, con { $text2 } o sin
catalogue-cell-no-plain-number = «{ $text }» no es un número: escribir un número, como 1.5 o 1,5
catalogue-cell-cannot-be = { $n } no puede ser: es mayor que 0 y como mucho { $n2 }
catalogue-cell-power-cannot-be = potencia, W: { $n } no puede ser: es mayor que 0 y como mucho { $n2 }
catalogue-cell-current-cannot-be = corriente, A: { $n } no puede ser: es mayor que 0 y como mucho { $n2 }
catalogue-cell-resistance-cannot-be = resistencia, Ω: { $n } no puede ser: es mayor que 0 y como mucho { $n2 }
catalogue-cell-size-cannot-be = sección del cable, mm²: { $n } no puede ser: es mayor que 0 y como mucho { $n2 }
catalogue-cell-gauge-cannot-be = calibre del cable, AWG: { $n } no puede ser: es mayor que 0 y como mucho { $n2 }
catalogue-cell-length-cannot-be = longitud del cable, m: { $n } no puede ser: es mayor que 0 y como mucho { $n2 }
catalogue-cell-no-place = esta carrocería no tiene el sitio «{ $text }»: escribir uno como lo nombra la imagen del vehículo, o dejarlo vacío
catalogue-cell-place-no-place = sitio: esta carrocería no tiene el sitio «{ $text }»: escribir uno como lo nombra la imagen del vehículo, o dejarlo vacío
