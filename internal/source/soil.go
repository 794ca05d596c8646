package source

var soil = []Source{}
