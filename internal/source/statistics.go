package source

var statistics = []Source{}
