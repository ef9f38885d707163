# overwinter_layer(NAME SOURCES file... LINK target... [LINK_PRIVATE target...])
#
# One static library a layer. LINK names the layers below it and nothing else; LINK_PRIVATE the libraries of
# others that only the .cpp files see. Without sources the layer is there by name alone.
function(overwinter_layer name)
  cmake_parse_arguments(PARSE_ARGV 1 layer "" "" "SOURCES;LINK;LINK_PRIVATE")
  if(layer_SOURCES)
    add_library(${name} STATIC ${layer_SOURCES})
    target_link_libraries(${name} PUBLIC overwinter_flags ${layer_LINK} PRIVATE ${layer_LINK_PRIVATE})
  else()
    add_library(${name} INTERFACE)
    target_link_libraries(${name} INTERFACE overwinter_flags ${layer_LINK})
  endif()
endfunction()
