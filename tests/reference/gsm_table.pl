# The GSM 03.38 alphabet as Perl's Encode has it: for every character of the BMP but surrogates, "HEX OCTETS", octets
# being 1 or 2 (escape and one more) or 0 for a character outside. Read by gsm_table.c.
use strict;
use warnings;
use Encode ();

my $gsm = Encode::find_encoding('gsm0338') or die "Encode has no gsm0338\n";
for my $code (0 .. 0xFFFF) {
    next if $code >= 0xD800 && $code <= 0xDFFF;
    my $character = chr $code;
    my $octets = eval { no warnings; length $gsm->encode($character, Encode::FB_CROAK) };
    printf "%X %d\n", $code, $octets // 0;
}
