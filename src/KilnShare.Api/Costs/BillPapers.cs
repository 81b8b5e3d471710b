using System.Globalization;
using KilnShare.Api.Common;
using KilnShare.Api.Papers;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;

namespace KilnShare.Api.Costs;

/// <summary>A firing's bill as a table for spreadsheets and as a paper to print.</summary>
internal static class BillPapers
{
    /// <summary>One row for each member's part that is shown, and a last one that says what is not.</summary>
    public static CsvTable Csv(BillAnswer bill)
    {
        var currency = Currency.Parse(bill.Currency)!.Value;
        var table = new CsvTable("firing", "member", "pieces", "volume_cm3", "mass_g", "part", "amount", "currency", "why");
        foreach (var line in bill.Lines)
        {
            foreach (var part in line.Parts)
            {
                table.Text(bill.Firing).Text(line.Name).Number(line.Pieces).Number(line.VolumeCm3).Number(line.MassG).Text(part.Name)
                    .Number(StatementPapers.Major(part.AmountMinor, currency)).Text(bill.Currency).Text(bill.Reasons.GetValueOrDefault(part.Name)).EndRow();
            }
        }

        if (bill.Withheld is { } withheld)
            table.Text(bill.Firing).Text("").Number(null).Number(null).Number(null).Text("").Number(null).Text(bill.Currency).Text(withheld).EndRow();
        return table;
    }

    /// <summary>A paper for the wall beside the kiln.</summary>
    public static PdfPaper Pdf(BillAnswer bill, DateTime madeUtc)
    {
        var currency = Currency.Parse(bill.Currency)!.Value;
        string Money(long minor) => MoneyText.Of(minor, currency);
        var paper = new PdfPaper("Firing bill", madeUtc)
            .Text($"{bill.Studio}: {bill.Firing}. Amounts in {bill.Currency}.")
            .Text(Standing(bill));
        if (bill.Withheld is { } withheld) paper.Text(withheld);
        if (bill.Lines.Any(l => l.Parts.Any(p => p.Name == Vat.Part))) paper.Text(Vat.NoInvoice);
        if (bill.TotalMinor is { } total)
        {
            paper.Heading("What it cost").Table(
                [new PaperColumn("Part", 20), new PaperColumn("How it comes about", 64), new PaperColumn("Amount", 16, true)],
                [.. bill.Costs.Select(
                    c => new PaperRow([c.Name, Origin(c.Name, bill), Money(c.AmountMinor)])), new PaperRow(["Total", "", Money(total)], true)]);
        }

        if (bill.Lines.Count == 0) return paper;
        paper.Heading("Who bears what")
            .Table(
                [new PaperColumn("Who", 22), new PaperColumn("Pieces", 9, true), new PaperColumn(
                    "Room", 12, true), new PaperColumn("Of all room", 13, true), new PaperColumn("Part", 24), new PaperColumn("Amount", 12, true)],
                [.. bill.Lines.SelectMany(l => Rows(l, Money)), .. bill.Withheld is null
                    ? [new PaperRow(["Total", "", "", "", "", Money(bill.Lines.Sum(l => l.AmountMinor))], true)] : Array.Empty<PaperRow>()])
            .Heading("How each part is shared");
        foreach (var (name, reason) in bill.Reasons) paper.Text($"{name}: {reason}");
        foreach (var note in bill.Notes) paper.Text(note);
        if (bill.Lines.All(l => l.Quote is null)) return paper;
        return paper.Heading("What was quoted, and why the bill differs").Table(
            [new PaperColumn("Who", 22), new PaperColumn("What", 64), new PaperColumn("Amount", 14, true)],
            bill.Lines.Where(l => l.Quote is not null).SelectMany(l => QuoteRows(l, Money)));
    }

    private static IEnumerable<PaperRow> Rows(BillLineContract line, Func<long, string> money)
    {
        yield return new PaperRow([
            line.Name, Shown(
                line.Pieces, "0"), Shown(line.VolumeCm3 / 1000, "0.00 l"), Shown(line.VolumePercent, "0.0 '%'"), "", money(line.AmountMinor)], true);
        foreach (var part in line.Parts) yield return new PaperRow(["", "", "", "", part.Name, money(part.AmountMinor)]);
        if (line is { MeteredMinor: { } metered, MemberId: not null }) yield return new PaperRow(["", "", "", "", $"(by the meter: {money(metered)})", ""]);
    }

    private static IEnumerable<PaperRow> QuoteRows(BillLineContract line, Func<long, string> money)
    {
        var (quoted, steps) = (line.Quote!.Quoted, line.Quote.Steps);
        yield return new PaperRow(
            [line.Name, $"Quoted when it was booked, between {money(quoted.LowMinor)} and {money(quoted.HighMinor)}", money(quoted.LikelyMinor)]);
        foreach (var step in steps) yield return new PaperRow(["", step.Sentence, (step.AmountMinor > 0 ? "+" : "") + money(step.AmountMinor)]);
        yield return new PaperRow(["", "The bill", money(line.AmountMinor)], true);
    }

    private static string Origin(string part, BillAnswer bill) => part switch
    {
        CostRules.EnergyPart when bill.PerKwh is null => string.Create(CultureInfo.InvariantCulture, $"{bill.EnergyKwh:0.###} kWh by the kiln's tariff"),
        CostRules.EnergyPart => string.Create(CultureInfo.InvariantCulture, $"{bill.EnergyKwh:0.###} kWh at {bill.PerKwh} {bill.Currency}"),
        Vat.Part => "on the members' shares, rounded once a bill",
        CostRules.WearPart => "put by for elements and other parts that wear out",
        _ => "by the studio's list, as written down for this firing",
    };

    private static string Shown(decimal? figure, string format) => figure?.ToString(format, CultureInfo.InvariantCulture) ?? "";

    private static string Standing(BillAnswer bill)
    {
        var outcome = bill.Outcome == FiringOutcome.Sound ? "" : $" It came out {EnumWord<FiringOutcome>.Of(bill.Outcome)}.";
        return (bill switch
        {
            { Revision: null } => "Not settled yet: this is how it would be shared now.",
            { CorrectedBecause: { } why } => $"Settled, corrected (revision {bill.Revision}): {why}.",
            _ => "Settled.",
        }) + outcome;
    }
}
