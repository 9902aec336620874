// A GPIO controller of eight lines for the guest, in the firmware's words: its registers lie in memory that the kernel leaves
// alone, so the host sees and sets levels in the file that holds the guest's memory. AMDF030 is the identity that the driver
// gpio-amdpt of a stock kernel looks for; the place is repeated in pins.ts.
DefinitionBlock ("", "SSDT", 2, "EMBER", "PINS", 1)
{
  Scope (\_SB)
  {
    Device (PINS)
    {
      Name (_HID, "AMDF030")
      Name (_CRS, ResourceTemplate () { Memory32Fixed (ReadWrite, 0x3FF00000, 0x00000100) })
    }
  }
}
