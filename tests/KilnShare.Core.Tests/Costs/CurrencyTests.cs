using KilnShare.Core.Common;

namespace KilnShare.Core.Tests.Costs;

public sealed class CurrencyTests
{
    // ISO 4217, list one, as published on 25 June 2024.
    [Theory]
    [InlineData("EUR", 2)]
    [InlineData("GBP", 2)]
    [InlineData("ISK", 0)]
    [InlineData("JPY", 0)]
    [InlineData("KWD", 3)]
    [InlineData("TND", 3)]
    [InlineData("CLF", 4)]
    [InlineData("ZWG", 2)]
    [InlineData("XOF", 0)]
    public void Money_in_use_is_known_with_its_minor_digits(string code, int digits)
    {
        var currency = Currency.Parse(code)!.Value;
        Assert.True(currency.IsActive);
        Assert.Equal(digits, currency.MinorDigits);
    }

    // Never given out, withdrawn, metals, units of account, test codes.
    [Theory]
    [InlineData("ABC")]
    [InlineData("DEM")]
    [InlineData("HRK")]
    [InlineData("XAU")]
    [InlineData("XDR")]
    [InlineData("XTS")]
    [InlineData("XXX")]
    public void What_is_no_money_in_use_is_told_apart_and_stays_readable(string code) => Assert.False(Currency.Parse(code)!.Value.IsActive);

    [Fact]
    public void Every_currency_with_a_minor_unit_of_its_own_is_in_the_list()
    {
        var all = from a in Letters from b in Letters from c in Letters select Currency.Parse($"{a}{b}{c}")!.Value;
        var active = all.Where(c => c.IsActive).ToList();
        Assert.Equal(167, active.Count);
        // 17 without a minor unit, 7 with three digits, 2 with four.
        Assert.Equal([(0, 17), (2, 141), (3, 7), (4, 2)], active.GroupBy(c => c.MinorDigits).OrderBy(g => g.Key).Select(g => (g.Key, g.Count())));
        Assert.Equal(26, all.Count(c => c.MinorDigits != 2));
    }

    private static IEnumerable<char> Letters => Enumerable.Range('A', 26).Select(letter => (char)letter);
}
