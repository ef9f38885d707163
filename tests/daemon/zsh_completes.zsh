# What zsh makes of words that somebody types after `overwinter`, each @ a press of the tab key: one line each.
# Usage: zsh -f zsh_completes.zsh FOLDER_OF_THE_COMPLETION WORDS...
zmodload zsh/zpty
tab=$'\t'
zpty inner zsh -f -i
zpty -w inner "PS1=; fpath=($1 \$fpath); autoload -Uz compinit; compinit -u -D"
zpty -w inner "overwinter() { print -r -- GOT:\$*: }"
zpty -w inner "print -r -- REA''DY"
zpty -r inner said '*READY*'
for words in "${@:2}"; do
  zpty -w inner "overwinter ${words//@/$tab}"
  zpty -r inner said '*GOT:*:*'
  said=${said##*GOT:}
  print -r -- ${said%%:*}
done
zpty -d inner
