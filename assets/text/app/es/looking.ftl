# What to look for at a place, what should protect the loom there, cautions and notes.

## Where the engine is

looking-the-engine-is-behind-the-seats-engine-left = El motor está detrás de los asientos: «motor izquierdo», «motor derecho» y «parte superior de la caja de cambios» están ahí. Lo que es de la carrocería y suele estar junto al motor, como la unidad de freno, se supone en el maletero delantero; la batería y el radiador se suponen delante.
looking-the-engine-is-at-the-rear-engine-left = El motor está detrás: «motor izquierdo», «motor derecho» y «parte superior de la caja de cambios» están bajo el piso de carga. Lo que es de la carrocería y suele estar junto al motor, como la unidad de freno, se supone en el maletero delantero; la batería y el radiador se suponen delante.
looking-the-engine-is-under-the-front-seats-engine = El motor está bajo los asientos delanteros: «motor izquierdo», «motor derecho» y «parte superior de la caja de cambios» están ahí, y en el morro no hay motor. Lo que es de la carrocería y suele estar junto al motor, como la unidad de freno, se supone en el morro; la batería y el radiador se suponen delante.
looking-the-engine-is-at-the-rear-where-others = El motor está detrás, donde otros llevan el maletero: «motor izquierdo», «motor derecho» y «parte superior de la caja de cambios» están ahí, y «zona de carga» es el espacio detrás del asiento trasero. Lo que es de la carrocería y suele estar junto al motor, como la unidad de freno, se supone en el maletero delantero; la batería y el radiador se suponen delante.
