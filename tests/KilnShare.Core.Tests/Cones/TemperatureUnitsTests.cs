using CsCheck;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Tests.Cones;

public sealed class TemperatureUnitsTests
{
    [Theory]
    [InlineData(0, 32)]
    [InlineData(100, 212)]
    [InlineData(-40, -40)]
    [InlineData(1222, 2231.6)]
    public void Fixed_points_are_met(double celsius, double fahrenheit)
    {
        Assert.Equal(fahrenheit, TemperatureUnits.ToFahrenheit(celsius));
        Assert.Equal(celsius, TemperatureUnits.ToCelsius(fahrenheit), 12);
    }

    [Fact]
    public void What_was_entered_in_Fahrenheit_comes_back_as_entered_however_often() =>
        Gen.Select(Gen.Int[-100_000, 3_000_000], Gen.Int[1, 1_000_000]).Sample((temperature, rate) =>
        {
            var (enteredF, enteredRate) = (temperature / 1000.0, rate / 1000.0);
            var (f, r) = (enteredF, enteredRate);
            for (var i = 0; i < 50; i++)
            {
                f = TemperatureUnits.ToFahrenheit(TemperatureUnits.ToCelsius(f));
                r = TemperatureUnits.DifferenceToFahrenheit(TemperatureUnits.DifferenceToCelsius(r));
            }
            Assert.Equal(enteredF, f);
            Assert.Equal(enteredRate, r);
        }, iter: 1000);
}
