CHARS = ("0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
         " %.,:;()<>/*-+&'\"!?#$@[]=_|"
         "áéíóúüñÁÉÍÓÚÜÑ½⅓⅔¼¾⅛⅜⅝⅞•°†®–")
assert len(set(CHARS)) == len(CHARS)
