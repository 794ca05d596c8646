package source

var crop = []Source{}
