# Completion of overwinter for bash. Made by `overwinter reference bash`.
_overwinter() {
  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options= words= files=
  if ((COMP_CWORD == 1)); then
    COMPREPLY=($(compgen -W "validate compute replay explain reference status record act done skip acknowledge shelve unshelve take_out put_back season listen capture --help --version" -- "$word"))
    return
  fi
  case ${COMP_WORDS[1]} in
    validate) options="--help --site --json" words="" files=yes ;;
    compute) options="--help --in --json" words="" files= ;;
    replay) options="--help --site --until --summary --json" words="" files=yes ;;
    explain) options="--help --site --from --at --json" words="" files= ;;
    reference) options="--help" words="site kinds functions schema man bash zsh fish" files= ;;
    status) options="--help --site --all --json" words="" files= ;;
    record) options="--help --site --by --note --id --json --at" words="" files= ;;
    act) options="--help --site --by --note --id --json --at" words="" files= ;;
    done) options="--help --site --by --note --id --json --found --at" words="" files= ;;
    skip) options="--help --site --by --note --id --json --found --why --at" words="" files= ;;
    acknowledge) options="--help --site --by --note --id --json" words="" files= ;;
    shelve) options="--help --site --by --note --id --json --for --until --why" words="" files= ;;
    unshelve) options="--help --site --by --note --id --json --why" words="" files= ;;
    take_out) options="--help --site --by --note --id --json --why" words="" files= ;;
    put_back) options="--help --site --by --note --id --json --why" words="" files= ;;
    season) options="--help --site --by --note --id --json" words="lay_up return_to_service" files= ;;
    listen) options="--help --site --for --json" words="" files= ;;
    capture) options="--help --site --for --json" words="" files=yes ;;
  esac
  if [[ $before == --site || $before == --from ]]; then
    COMPREPLY=($(compgen -f -- "$word"))
  elif [[ $word == -* ]]; then
    COMPREPLY=($(compgen -W "$options" -- "$word"))
  elif [[ -n $files ]]; then
    COMPREPLY=($(compgen -f -- "$word"))
  else
    COMPREPLY=($(compgen -W "$words" -- "$word"))
  fi
}
complete -o filenames -F _overwinter overwinter
