package source

var climate = []Source{}
